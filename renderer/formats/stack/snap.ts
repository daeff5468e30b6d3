// Snapping of frames: to beats where the tempo is known, else to tenths of a second or not at all.

import { hasTempo, type TimeBase } from '../../../app/words/bars/bar-words.ts'
import { nearestBeat, stepBeats, tempoSections } from '../../../app/words/bars/tempo-map.ts'

/** The frame some snap steps away: beats if the session has a tempo, else tenths of a second. */
export const stepBySnap = (frame: number, steps: number, base: TimeBase): number =>
  Math.round(
    hasTempo(base) ? stepBeats(tempoSections(base), frame, steps) : frame + (steps * base.sampleRateHz) / 10,
  )

/** The nearest snap step, as a whole frame. */
export function snapFrame(frame: number, base: TimeBase): number {
  const step = base.sampleRateHz / 10
  return Math.round(
    hasTempo(base) ? nearestBeat(tempoSections(base), frame) : Math.round(frame / step) * step,
  )
}

/** The nearest beat if the session has a tempo, else the frame itself; as a whole frame. */
export const snapToBeat = (frame: number, base: TimeBase): number =>
  Math.round(hasTempo(base) ? nearestBeat(tempoSections(base), frame) : frame)
