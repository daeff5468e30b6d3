// How sibilant the leader is, in plain TypeScript.

import { BLOCK_FRAMES, type Channels } from '../../../app/dsp/stage.ts'
import { FLOOR_POWER, SILENT_POWER, sibilanceBands } from '../../../app/dsp/stages/sibilance-bands.ts'
import { createSideChainFilter } from './side-chain-filter.ts'

export interface SibilanceDetector {
  readonly memory: readonly Float64Array[]
  /** Writes the ratio of the bands' powers and how hot the sibilance is; over several channels the greatest. */
  run(leader: Channels, ratios: Float64Array, hotness: Float64Array, frames: number): void
}

export function createSibilanceDetector(
  channels: number,
  sampleRateHz: number,
  sibilantRatio: number,
): SibilanceDetector {
  const bands = sibilanceBands(sampleRateHz)
  const { attackA, sibilantReleaseA, voiceReleaseA } = bands
  const sibilantBand = createSideChainFilter(bands.sibilantBand, channels)
  const voiceBand = createSideChainFilter(bands.voiceBand, channels)
  /** Power of both bands, channel after channel. */
  const powers = new Float64Array(2 * channels)
  /** Power of the loud voice, of hot sibilants, and of the loud voice when these were heard, channel after channel. */
  const recent = new Float64Array(3 * channels)
  const sibilant = new Float64Array(BLOCK_FRAMES)
  const voice = new Float64Array(BLOCK_FRAMES)

  return {
    memory: [sibilantBand.memory, voiceBand.memory, powers, recent],
    run(leader, ratios, hotness, frames) {
      for (let channel = 0; channel < channels; channel++) {
        const samples = leader[channel]
        for (let i = 0; i < frames; i++) {
          sibilant[i] = samples[i]
          voice[i] = samples[i]
        }
        sibilantBand.run(channel, sibilant, frames)
        voiceBand.run(channel, voice, frames)
        let above = powers[2 * channel]
        let below = powers[2 * channel + 1]
        let [loud, hot, loudThen] = recent.subarray(3 * channel)
        for (let i = 0; i < frames; i++) {
          const s = sibilant[i] * sibilant[i] + SILENT_POWER
          const v = voice[i] * voice[i] + SILENT_POWER
          const aboveA = s > above ? attackA : sibilantReleaseA
          const belowA = v > below ? attackA : voiceReleaseA
          above = aboveA * above + (1 - aboveA) * s
          below = belowA * below + (1 - belowA) * v
          const ratio = above / (below + FLOOR_POWER)
          if (channel === 0 || ratio > ratios[i]) ratios[i] = ratio
          if (below > loud) loud = bands.loudVoiceA * loud + (1 - bands.loudVoiceA) * below
          else loud *= below > bands.present * loud ? bands.fade : bands.fadeInPauses
          let hotter = 0
          if (ratio > sibilantRatio) {
            let now = loud < loudThen ? hot * (loud / loudThen) : hot
            if (above > now) {
              now = bands.hotSibilantA * now + (1 - bands.hotSibilantA) * above
              hot = now
              loudThen = loud
            } else if (above > bands.present * now) hot *= bands.forget
            hotter = above / Math.max(now, bands.leastHot * loud)
          }
          if (channel === 0 || hotter > hotness[i]) hotness[i] = hotter
        }
        powers[2 * channel] = above
        powers[2 * channel + 1] = below
        recent.set([loud, hot, loudThen], 3 * channel)
      }
    },
  }
}
