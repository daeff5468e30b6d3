// Which parts a delivery has.

import { Checkbox } from '../../parts/fields/checkbox.tsx'
import type { DeliveryChoices } from './delivery-choices.ts'

type Contents = DeliveryChoices['contents']

const PARTS: readonly { key: keyof Contents; name: string; detail: string }[] = [
  { key: 'groups', name: 'Group stems', detail: 'processed; they add up to the reference' },
  { key: 'layers', name: 'Layer stems', detail: 'processed, with gain, without pan' },
  { key: 'raw', name: 'Takes as recorded', detail: 'byte for byte' },
  { key: 'aligned', name: 'Takes at their places', detail: 'unprocessed, from the common start' },
  { key: 'reference', name: 'Reference', detail: 'the stack as heard' },
]

export const DeliveryParts = ({
  contents,
  onChange,
}: {
  contents: Contents
  onChange: (contents: Contents) => void
}) => (
  <fieldset className="delivery-parts">
    <legend className="field-label">Contents</legend>
    {PARTS.map(({ key, name, detail }) => (
      <Checkbox
        key={key}
        isSelected={contents[key]}
        onChange={(isIn) => onChange({ ...contents, [key]: isIn })}
      >
        <span>
          {name} <span className="soft">{detail}</span>
        </span>
      </Checkbox>
    ))}
    <p className="soft">Markers, tempo, edit list, recall sheet and hashes are always in it.</p>
  </fieldset>
)
