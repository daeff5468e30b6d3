// Every number of a stage as a field with its unit.

import type { ChainRow } from '../../../formats/chain/chain-rows.ts'
import {
  fieldsOf,
  readSetting,
  type SettingField,
  withSettings,
} from '../../../formats/chain/setting-fields.ts'
import { FrequencyField } from '../../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { editStage } from '../../../state/chain/chain-draft.ts'

export const SettingFields = ({ row }: { row: ChainRow }) => (
  <>
    {fieldsOf(row.stage.kind).map((field) => (
      <OneField key={field.key} row={row} field={field} />
    ))}
  </>
)

function OneField({ row, field }: { row: ChainRow; field: SettingField }) {
  const shared = {
    label: field.label,
    value: readSetting(row.stage, field.key),
    min: field.min,
    max: field.max,
    onChange: (value: number) =>
      editStage(row, field.label.toLowerCase(), (stage) =>
        withSettings(stage, { [field.key]: field.key === 'maxBands' ? Math.round(value) : value }),
      ),
  }
  return field.isFrequency ? (
    <FrequencyField {...shared} />
  ) : (
    <NumberField {...shared} unit={field.unit} step={field.step} places={field.places} />
  )
}
