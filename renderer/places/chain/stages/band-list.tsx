// The bands of a tone stage as rows of fields.

import type { RefObject } from 'react'
import { type Band, MAX_SHELF_Q } from '../../../../app/contract/chain-document.ts'
import { MAX_BANDS } from '../../../../app/contract/text/limits.ts'
import { BAND_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatGain } from '../../../../app/words/format.ts'
import { BAND_BOUNDS } from '../../../formats/bounds.ts'
import { nameOfBand, strandColourAt } from '../../../formats/chain/band-words.ts'
import { ariaKeysOf } from '../../../keys/key-table.ts'
import { Button } from '../../../parts/button.tsx'
import { FrequencyField } from '../../../parts/fields/frequency-field.tsx'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { BandSign } from '../../../parts/plot/plot-mark.tsx'
import { CloseSign } from '../../../parts/signs.tsx'

const SHAPE_ITEMS = (['low-shelf', 'bell', 'high-shelf'] as const).map((key) => ({
  key,
  name: BAND_NAMES[key],
}))

export interface BandListProps {
  readonly bands: readonly Band[]
  /** Index of the selected band. */
  readonly chosen: number
  readonly addButton: RefObject<HTMLButtonElement | null>
  readonly onChoose: (index: number) => void
  /** @param what the changed setting, for the undo history */
  readonly onChange: (index: number, what: string, changes: Partial<Band>) => void
  readonly onRemove: (index: number) => void
  readonly onAdd: () => void
}

export function BandList({ bands, chosen, addButton, onChoose, onChange, onRemove, onAdd }: BandListProps) {
  return (
    <div className="band-list">
      <div className="band-line band-line-head" aria-hidden="true">
        <span />
        <span>Shape</span>
        <span>Frequency</span>
        <span>Gain</span>
        <span>Q</span>
      </div>
      {bands.map((band, index) => (
        <fieldset
          // biome-ignore lint/suspicious/noArrayIndexKey: a band is its place in the list
          key={index}
          className="band-line"
          aria-label={`Band ${index + 1}: ${nameOfBand(band)}`}
          data-selected={index === chosen || undefined}
          onFocus={() => onChoose(index)}
        >
          <BandSign shape={band.shape} isCut={band.gainDb < 0} colour={strandColourAt(band.frequencyHz)} />
          <Select
            label={`Shape of band ${index + 1}`}
            isLabelHidden
            items={SHAPE_ITEMS}
            value={band.shape}
            onChange={(shape) => {
              if (shape !== null) onChange(index, 'shape', { shape })
            }}
          />
          <FrequencyField
            label={`Frequency of band ${index + 1}`}
            isLabelHidden
            value={band.frequencyHz}
            {...BAND_BOUNDS.frequencyHz}
            onChange={(frequencyHz) => onChange(index, 'frequency', { frequencyHz })}
          />
          <NumberField
            label={`Gain of band ${index + 1}`}
            isLabelHidden
            value={band.gainDb}
            unit="dB"
            step={0.5}
            {...BAND_BOUNDS.gainDb}
            format={formatGain}
            onChange={(gainDb) => onChange(index, 'gain', { gainDb })}
          />
          <NumberField
            label={`Q of band ${index + 1}`}
            isLabelHidden
            value={band.q}
            unit=""
            step={0.1}
            places={2}
            {...BAND_BOUNDS.q}
            max={band.shape === 'bell' ? BAND_BOUNDS.q.max : MAX_SHELF_Q}
            onChange={(q) => onChange(index, 'Q', { q })}
          />
          <Button look="sign" aria-label={`Remove band ${index + 1}`} onPress={() => onRemove(index)}>
            <CloseSign />
          </Button>
        </fieldset>
      ))}
      <div className="band-acts">
        <Button
          ref={addButton}
          look="plain"
          aria-keyshortcuts={ariaKeysOf('addBand')}
          isDisabled={bands.length >= MAX_BANDS}
          onPress={onAdd}
        >
          Add band
        </Button>
        <span className="soft">or N, or double-click the plot</span>
      </div>
    </div>
  )
}
