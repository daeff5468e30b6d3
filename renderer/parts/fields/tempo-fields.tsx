// Tempo and metre of a session.

import { BEATS_BOUNDS, TEMPO_BOUNDS } from '../../formats/bounds.ts'
import { NumberField } from './number-field.tsx'

export interface TempoFieldsProps {
  readonly tempoBpm: number | null
  readonly beatsPerBar: number
  readonly onTempo: (tempoBpm: number | null) => void
  readonly onBeats: (beatsPerBar: number) => void
}

/** Tempo in BPM, null if it is unknown, and beats per bar. */
export const TempoFields = ({ tempoBpm, beatsPerBar, onTempo, onBeats }: TempoFieldsProps) => (
  <div className="dialog-row">
    <NumberField
      label="Tempo"
      value={tempoBpm}
      unit="BPM"
      {...TEMPO_BOUNDS}
      stepBy={(bpm, steps) => (tempoBpm === null ? 90 : Math.round(bpm) + steps)}
      onChange={onTempo}
      onClear={() => onTempo(null)}
      placeholder="Unknown"
    />
    <NumberField
      label="Beats per bar"
      value={beatsPerBar}
      unit=""
      places={0}
      {...BEATS_BOUNDS}
      stepBy={(beats, steps) => Math.round(beats) + steps}
      onChange={(beats) => onBeats(Math.round(beats))}
    />
  </div>
)
