// Chooses the part of the song that is bounced or delivered.

import type { SessionContents } from '../../../app/contract/entities.ts'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'
import { useSelection } from '../../state/selection.ts'
import { type RangeChoice, type RangeChoices, rangeItems, shownRange } from './song-range-choice.ts'

export interface SongRangeFieldsProps {
  readonly contents: SessionContents
  readonly choices: RangeChoices
  readonly onChange: (changes: Partial<RangeChoices>) => void
}

/** The whole song, a section, the loop, or two typed times. */
export function SongRangeFields({ contents, choices, onChange }: SongRangeFieldsProps) {
  const { loop } = useSelection()
  const shown = shownRange(choices.range, contents, loop)
  const items: readonly { key: RangeChoice; name: string }[] = [
    ...rangeItems(contents, loop),
    { key: 'times', name: 'From one time to another' },
  ]
  return (
    <div className="dialog-row">
      <Select
        label="Part of the song"
        items={items}
        value={shown}
        onChange={(key) => onChange({ range: key ?? 'song' })}
      />
      {shown === 'times' ? (
        <>
          <TextField label="From" value={choices.from} onChange={(from) => onChange({ from })} />
          <TextField label="To" value={choices.to} onChange={(to) => onChange({ to })} />
        </>
      ) : null}
    </div>
  )
}
