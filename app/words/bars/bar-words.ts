// Places in a song as bars and beats, and its tempo in words.

import type { Session } from '../../contract/entities.ts'
import { exactNumber, formatNumber, withUnit } from '../format.ts'
import { type Metre, placeAt, tempoSections } from './tempo-map.ts'

/** Sample rate, tempo and metre of a session. */
export interface TimeBase extends Omit<Metre, 'tempoBpm'> {
  readonly tempoBpm: number | null
}

/** A time base with a known tempo, which bars and beats need. */
export type Bars = Metre

/** What of a session decides where its bars are. */
export const timeBaseOf = ({
  sampleRateHz,
  tempoBpm,
  beatsPerBar,
  beatUnit,
  tempoChanges,
}: Session): TimeBase => ({ sampleRateHz, tempoBpm, beatsPerBar, beatUnit, tempoChanges })

/** Whether the tempo of a session is known. */
export const hasTempo = (base: TimeBase): base is Bars => base.tempoBpm !== null

/** Places are shown and typed in hundredths of a beat. */
export const PARTS_PER_BEAT = 100

/** Bar, beat and hundredths of a beat; session time zero is 1.1.00, and earlier bars are 0 and below. */
export function formatBars(frames: number, base: Bars): string {
  const { bar, beat } = placeAt(tempoSections(base), frames, PARTS_PER_BEAT)
  const whole = Math.floor(beat)
  const hundredths = String(Math.round((beat - whole) * PARTS_PER_BEAT)).padStart(2, '0')
  return `${formatNumber(bar, 0)}.${whole + 1}.${hundredths}`
}

/** '120 BPM, 6/8; from bar 9: 96.5 BPM, 4/4'. */
export function tempoWords({ tempoBpm, beatsPerBar, beatUnit, tempoChanges }: Session): string {
  if (tempoBpm === null) return 'not set'
  const words = (bpm: number, beats: number, unit: number): string =>
    `${withUnit(exactNumber(bpm), 'BPM')}, ${beats}/${unit}`
  return [
    words(tempoBpm, beatsPerBar, beatUnit),
    ...tempoChanges.map(
      (one) => `from bar ${one.bar}: ${words(one.tempoBpm, one.beatsPerBar, one.beatUnit)}`,
    ),
  ].join('; ')
}
