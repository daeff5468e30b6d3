// Long takes of the generated voices with their truth, in a quiet room, for the analysis
// of voices; and sounds sent through a stage as a chain would.

import { createStage } from '../../app/dsp/stages/create-stage.ts'
import type { StageSetup } from '../../app/dsp/stages/settings.ts'
import { LEAD_DEVIATIONS, type Singer } from '../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../app/dsp/voice/render-voice.ts'
import type { Score } from '../../app/dsp/voice/score.ts'
import type { VoiceTruth } from '../../app/dsp/voice/voice-truth.ts'

export const VOICE_RATE_HZ = 48_000

export interface VoiceTake {
  readonly samples: Float64Array
  readonly truth: VoiceTruth
}

/** One pass of a score, as a lead sings it, with one reflection and a noise floor. */
export function voiceTake(singer: Singer, score: Score, seed: number, noiseFloorDbfs = -65): VoiceTake {
  const { samples, truth } = renderVoice(
    score,
    {
      singer,
      deviations: LEAD_DEVIATIONS,
      effortDb: 0,
      peakDbfs: -7,
      popLevelDb: -6,
      room: { reflections: [{ delayMs: 7, levelDb: -22 }], noiseFloorDbfs },
    },
    { sampleRateHz: VOICE_RATE_HZ, seed },
  )
  return { samples: Float64Array.from(samples), truth }
}

/** Several passes end to end, each sung anew. */
export function longTake(singer: Singer, score: Score, passes: number, seed: number): Float64Array {
  const parts = Array.from({ length: passes }, (_, i) => voiceTake(singer, score, seed + i).samples)
  const whole = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    whole.set(part, at)
    at += part.length
  }
  return whole
}

/** The sound behind one stage, and the greatest reduction in each 5 ms. */
export function throughStage(
  samples: Float64Array,
  setup: StageSetup,
): { readonly samples: Float64Array; readonly reductionsDb: readonly number[] } {
  const out = samples.slice()
  const stage = createStage(setup, { laneChannels: [1], sampleRateHz: VOICE_RATE_HZ })
  const reductionsDb: number[] = []
  for (let at = 0; at < out.length; at += 240) {
    const frames = Math.min(240, out.length - at)
    stage.process([[out.subarray(at, at + frames)]], frames)
    reductionsDb.push(stage.reductionDb)
  }
  return { samples: out, reductionsDb }
}

/** The sound behind one bell or shelf. */
export function throughBand(
  samples: Float64Array,
  shape: 'bell' | 'low-shelf' | 'high-shelf',
  frequencyHz: number,
  gainDb: number,
  q: number,
): Float64Array {
  return throughStage(samples, { kind: 'tone', settings: { bands: [{ shape, frequencyHz, gainDb, q }] } })
    .samples
}
