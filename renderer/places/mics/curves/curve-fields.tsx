// Fields of a curve besides its points: mic, name, pattern, distance, source, note.

import { type CurveRecord, CurveSource, type Mic, PolarPattern } from '../../../../app/contract/entities.ts'
import { MAX_MIC_DISTANCE_M, MAX_NOTE } from '../../../../app/contract/text/limits.ts'
import { NumberField } from '../../../parts/fields/number-field.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { TextField } from '../../../parts/fields/text-field.tsx'

/** The fields of a curve besides its points. */
export type CurveAbout = Pick<CurveRecord, 'micId' | 'name' | 'source' | 'pattern' | 'distanceM' | 'note'>

export interface CurveFieldsProps {
  readonly about: CurveAbout
  readonly onChange: (changes: Partial<CurveAbout>) => void
  readonly mics: readonly Mic[]
  /** Hides the mic field, because a saved curve stays with its mic. */
  readonly isMicFixed?: boolean
  /** Whether the first field has the focus when it appears. */
  readonly autoFocus?: boolean
  /** Stacks the fields, for a narrow column. */
  readonly isNarrow?: boolean
}

/** Fields for mic, name, pattern, distance, source and note of a curve. */
export function CurveFields({
  about,
  onChange,
  mics,
  isMicFixed = false,
  autoFocus = false,
  isNarrow = false,
}: CurveFieldsProps) {
  const row = isNarrow ? 'curve-fields-narrow' : 'dialog-row'
  return (
    <>
      <div className={row}>
        {isMicFixed ? null : (
          <Select
            label="Mic"
            items={mics.map((mic) => ({ key: mic.id, name: mic.name }))}
            none="None (target curve)"
            value={about.micId}
            autoFocus={autoFocus}
            onChange={(micId) => onChange({ micId, pattern: patternOf(mics, micId) })}
          />
        )}
        <TextField
          label="Name"
          value={about.name}
          autoFocus={autoFocus && isMicFixed}
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
          max={MAX_MIC_DISTANCE_M}
          step={0.05}
          places={2}
          onChange={(distanceM) => onChange({ distanceM })}
          onClear={() => onChange({ distanceM: null })}
          placeholder="Unknown"
        />
        <Select
          label="Source"
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
        placeholder="Data sheet, page, date, measured by"
      />
    </>
  )
}

/** Default pattern of a new curve: the pattern of its mic. */
export const patternOf = (mics: readonly Mic[], micId: number | null): CurveRecord['pattern'] =>
  mics.find(({ id }) => id === micId)?.pattern ?? 'unknown'
