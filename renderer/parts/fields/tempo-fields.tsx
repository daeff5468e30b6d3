// Tempo and metre of a session, and where they change.

import { BEAT_UNITS, type BeatUnit, type Session, type TempoChange } from '../../../app/contract/entities.ts'
import { MAX_TEMPO_CHANGES } from '../../../app/contract/text/limits.ts'
import { framesPerBeat } from '../../../app/words/bars/tempo-map.ts'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { BEATS_BOUNDS, CHANGE_BAR_BOUNDS, TEMPO_BOUNDS } from '../../formats/bounds.ts'
import { parseTypedNumber } from '../../formats/typed-number.ts'
import { Button } from '../button.tsx'
import { CloseSign } from '../signs.tsx'
import { NumberField } from './number-field.tsx'
import { Select } from './select.tsx'
import './tempo-fields.css'

/** Tempo, metre and tempo changes of a session. */
export type TempoSettings = Pick<Session, 'tempoBpm' | 'beatsPerBar' | 'beatUnit' | 'tempoChanges'>

/** The settings of a new session. */
export const NO_TEMPO: TempoSettings = { tempoBpm: null, beatsPerBar: 4, beatUnit: 4, tempoChanges: [] }

export interface TempoFieldsProps {
  readonly settings: TempoSettings
  readonly onChange: (settings: TempoSettings) => void
}

const BEAT_ITEMS = BEAT_UNITS.map((unit) => ({ key: unit, name: `1/${unit}` }))

/** Tempo in quarter notes per minute, null if it is unknown; beats per bar, and the note value of a beat. */
export function TempoFields({ settings, onChange }: TempoFieldsProps) {
  const { tempoBpm, beatsPerBar, beatUnit, tempoChanges } = settings
  const setChanges = (changes: readonly TempoChange[]): void =>
    onChange({ ...settings, tempoChanges: changes.toSorted((a, b) => a.bar - b.bar) })
  const change = (index: number, fields: Partial<TempoChange>): void =>
    setChanges(tempoChanges.map((one, i) => (i === index ? { ...one, ...fields } : one)))
  return (
    <>
      <div className="dialog-row">
        <NumberField
          label="Tempo"
          value={tempoBpm}
          unit="BPM"
          {...TEMPO_BOUNDS}
          stepBy={(bpm, steps) => (tempoBpm === null ? 90 : Math.round(bpm) + steps)}
          onChange={(bpm) => onChange({ ...settings, tempoBpm: bpm })}
          onClear={() => onChange({ ...settings, tempoBpm: null })}
          placeholder="Unknown"
        />
        <BeatsField value={beatsPerBar} onChange={(beats) => onChange({ ...settings, beatsPerBar: beats })} />
        <Select
          label="Beat unit"
          items={BEAT_ITEMS}
          value={beatUnit}
          onChange={(unit) => onChange({ ...settings, beatUnit: unit ?? 4 })}
        />
      </div>
      {/* Shown without a tempo too, so that no button moves away under a press that ends the typing of one. */}
      <p className="tempo-hint soft">
        {tempoBpm === null
          ? 'Without a tempo, Stack shows minutes and seconds.'
          : `${metreWords(beatsPerBar, beatUnit)}, tempo in quarter notes: a bar lasts ${barLength(tempoBpm, beatsPerBar, beatUnit)}.`}
      </p>
      <fieldset className="tempo-changes">
        <legend className="field-label">Tempo changes</legend>
        {(tempoBpm === null ? [] : tempoChanges).map((one, index) => (
          // A row keeps its place while its bar is typed, and rows have no other identity.
          // biome-ignore lint/suspicious/noArrayIndexKey: see above
          <div key={index} className="tempo-change">
            <NumberField
              label={`Bar of tempo change ${index + 1}`}
              isLabelHidden
              value={one.bar}
              unit=""
              places={0}
              {...CHANGE_BAR_BOUNDS}
              format={(bar) => `bar ${formatNumber(bar, 0)}`}
              parse={(text) => parseTypedNumber(text.replace(/^\s*bar/i, ''), '')}
              stepBy={(bar, steps) => Math.round(bar) + steps}
              onChange={(bar) => {
                const whole = Math.round(bar)
                if (tempoChanges.every((other, i) => i === index || other.bar !== whole))
                  change(index, { bar: whole })
              }}
            />
            <NumberField
              label={`Tempo from bar ${one.bar}`}
              isLabelHidden
              value={one.tempoBpm}
              unit="BPM"
              {...TEMPO_BOUNDS}
              stepBy={(bpm, steps) => Math.round(bpm) + steps}
              onChange={(bpm) => change(index, { tempoBpm: bpm })}
            />
            <BeatsField
              label={`Beats per bar from bar ${one.bar}`}
              value={one.beatsPerBar}
              onChange={(beats) => change(index, { beatsPerBar: beats })}
            />
            <Select
              label={`Beat unit from bar ${one.bar}`}
              isLabelHidden
              items={BEAT_ITEMS}
              value={one.beatUnit}
              onChange={(unit) => change(index, { beatUnit: unit ?? 4 })}
            />
            <Button
              look="sign"
              aria-label={`Remove tempo change at bar ${one.bar}`}
              onPress={() => setChanges(tempoChanges.filter((_, i) => i !== index))}
            >
              <CloseSign />
            </Button>
          </div>
        ))}
        <Button
          look="plain"
          isDisabled={tempoBpm === null || tempoChanges.length >= MAX_TEMPO_CHANGES}
          onPress={() => {
            if (tempoBpm === null) return
            const last: Omit<TempoChange, 'bar'> = tempoChanges.at(-1) ?? {
              tempoBpm,
              beatsPerBar,
              beatUnit,
            }
            setChanges([...tempoChanges, { ...last, bar: (tempoChanges.at(-1)?.bar ?? 1) + 8 }])
          }}
        >
          Add tempo change
        </Button>
      </fieldset>
    </>
  )
}

const barLength = (tempoBpm: number, beatsPerBar: number, beatUnit: BeatUnit): string =>
  withUnit(formatNumber(beatsPerBar * framesPerBeat(tempoBpm, 1, beatUnit), 3), 's')

/** 4/4, 6/8. */
const metreWords = (beatsPerBar: number, beatUnit: BeatUnit): string => `${beatsPerBar}/${beatUnit}`

interface BeatsFieldProps {
  readonly label?: string
  readonly value: number
  readonly onChange: (beats: number) => void
}

const BeatsField = ({ label, value, onChange }: BeatsFieldProps) => (
  <NumberField
    label={label ?? 'Beats per bar'}
    isLabelHidden={label !== undefined}
    value={value}
    unit=""
    places={0}
    {...BEATS_BOUNDS}
    stepBy={(beats, steps) => Math.round(beats) + steps}
    onChange={(beats) => onChange(Math.round(beats))}
  />
)
