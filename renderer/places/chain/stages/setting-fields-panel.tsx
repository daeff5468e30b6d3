// The numbers of a stage as fields with their units.

import { readSetting } from '../../../../app/words/chain/setting-names.ts'
import type { ChainRow } from '../../../formats/chain/chain-rows.ts'
import { fieldsOf, type SettingField, withSettings } from '../../../formats/chain/setting-fields.ts'
import { FrequencyField } from '../../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { editStage } from '../../../state/chain/chain-draft.ts'
import type { ChainOwner } from '../../../state/chain/chain-owner.ts'

interface FieldsProps {
  readonly owner: ChainOwner
  readonly row: ChainRow
}

export const SettingFields = ({ owner, row }: FieldsProps) => (
  <>
    {fieldsOf(row.stage.kind).map((field) => (
      <OneField key={field.key} owner={owner} row={row} field={field} />
    ))}
  </>
)

function OneField({ owner, row, field }: FieldsProps & { field: SettingField }) {
  const shared = {
    label: field.label,
    value: readSetting(row.stage, field.key),
    min: field.min,
    max: field.max,
    onChange: (value: number) =>
      editStage(owner, row, field.label.toLowerCase(), (stage) =>
        withSettings(stage, { [field.key]: field.key === 'maxBands' ? Math.round(value) : value }),
      ),
  }
  return field.isFrequency ? (
    <FrequencyField {...shared} />
  ) : (
    <NumberField {...shared} unit={field.unit} step={field.step} places={field.places} />
  )
}
