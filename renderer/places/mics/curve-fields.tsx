// What is said about a curve beside its points: whose, name, source, pattern, distance, note.

import { type CurveRecord, CurveSource, type Mic, PolarPattern } from '../../../app/contract/entities.ts'
import { MAX_NOTE } from '../../../app/contract/text/limits.ts'
import { NumberField } from '../../parts/fields/number-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { TextField } from '../../parts/fields/text-field.tsx'

export type CurveAbout = Pick<CurveRecord, 'micId' | 'name' | 'source' | 'pattern' | 'distanceM' | 'note'>

export interface CurveFieldsProps {
  readonly about: CurveAbout
  readonly onChange: (changes: Partial<CurveAbout>) => void
  readonly mics: readonly Mic[]
  /** A curve that is kept stays with its mic. */
  readonly isMicFixed?: boolean
  /** One field below the other, for a narrow column. */
  readonly isNarrow?: boolean
}

export function CurveFields({
  about,
  onChange,
  mics,
  isMicFixed = false,
  isNarrow = false,
}: CurveFieldsProps) {
  const row = isNarrow ? 'curve-fields-narrow' : 'dialog-row'
  return (
    <>
      <div className={row}>
        {isMicFixed ? null : (
          <Select
            label="Curve of"
            items={mics.map((mic) => ({ key: mic.id, name: mic.name }))}
            none="No mic, a target"
            value={about.micId}
            onChange={(micId) => onChange({ micId, pattern: patternOf(mics, micId) })}
          />
        )}
        <TextField
          label="Name"
          value={about.name}
          onChange={(name) => onChange({ name })}
          placeholder="On axis, 0.3 m"
        />
      </div>
      <div className="dialog-row">
        <Select
          label="Pattern"
          items={PolarPattern.options.map((key) => ({ key, name: key }))}
          value={about.pattern}
          onChange={(pattern) => onChange({ pattern: pattern ?? 'unknown' })}
        />
        <NumberField
          label="Distance"
          value={about.distanceM}
          unit="m"
          min={0.01}
          max={100}
          step={0.05}
          places={2}
          onChange={(distanceM) => onChange({ distanceM })}
          onClear={() => onChange({ distanceM: null })}
          placeholder="Not known"
        />
        <Select
          label="Comes from"
          items={CurveSource.options.map((key) => ({ key, name: key }))}
          value={about.source}
          onChange={(source) => onChange({ source: source ?? 'own' })}
        />
      </div>
      <TextField
        label="Note"
        value={about.note}
        onChange={(note) => onChange({ note })}
        maxLength={MAX_NOTE}
        placeholder="Sheet, page, date, who measured"
      />
    </>
  )
}

/** The pattern a mic was entered with is the likely one of its next curve. */
export const patternOf = (mics: readonly Mic[], micId: number | null): CurveRecord['pattern'] =>
  mics.find(({ id }) => id === micId)?.pattern ?? 'unknown'
