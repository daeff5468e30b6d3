// A take with its phrases and the frames that its lines are known by.

import { CEPSTRA, cepstraOf } from './cepstra.ts'
import { type FoundPhrases, findPhrases } from './find-phrases.ts'
import { type Frames, framesOf, partOf } from './line-search.ts'
import { FRAMES_PER_MEL, MEL_BANDS, type VoiceFrames } from './voice-frames.ts'

export interface SurveyedTake extends FoundPhrases {
  readonly frames: VoiceFrames
  readonly cepstra: Frames
  /** From one frame of the cepstra to the next. */
  readonly hopSeconds: number
}

/** Frames this far over the floor count as voice. */
const ACTIVE_OVER_FLOOR_DB = 10

export function surveyTake(frames: VoiceFrames): SurveyedTake {
  const found = findPhrases(frames)
  const powers = frames.track.powers.values()
  const hopSeconds = FRAMES_PER_MEL * frames.track.frameSeconds
  const least = 10 ** (((found.level.floorDbfs ?? -100) + ACTIVE_OVER_FLOOR_DB) / 10)
  const active = new Uint8Array(Math.ceil(frames.mel.length / MEL_BANDS))
  for (const { fromS, toS } of found.phrases) {
    for (let t = Math.round(fromS / hopSeconds); t < Math.min(active.length, toS / hopSeconds); t++) {
      if (powers[FRAMES_PER_MEL * t] >= least) active[t] = 1
    }
  }
  const cepstra = framesOf(cepstraOf(frames.mel, MEL_BANDS, (t) => active[t] === 1))
  return { ...found, frames, cepstra, hopSeconds }
}

/** The frames of a stretch of the take. */
export function framesBetween({ cepstra, hopSeconds }: SurveyedTake, fromS: number, toS: number): Frames {
  const from = Math.max(0, Math.min(cepstra.count - 1, Math.round(fromS / hopSeconds)))
  const to = Math.max(from + 1, Math.min(cepstra.values.length / CEPSTRA, Math.round(toS / hopSeconds)))
  return partOf(cepstra, from, to)
}

/** Middle of the quietest 20 ms between two times. */
export function quietestBetween({ frames: { track } }: SurveyedTake, fromS: number, toS: number): number {
  const powers = track.powers.values()
  const from = Math.max(0, Math.floor(fromS / track.frameSeconds))
  const to = Math.min(powers.length - 2, Math.ceil(toS / track.frameSeconds))
  let best = Math.round((from + to) / 2)
  for (let i = from; i <= to; i++) {
    if (powers[i] + powers[i + 1] < powers[best] + powers[best + 1]) best = i
  }
  return (best + 1) * track.frameSeconds
}
