// How sibilant the leader is at each moment: the level of 4.5 to 10.5 kHz against the
// level of 0.2 to 4 kHz within the same few milliseconds. Being a ratio it does
// not depend on the level into the stage.

import { butterworthQs } from '../sections/prototypes.ts'
import { createSideChainFilter, sideChainHighPass, sideChainLowPass } from '../side-chain-filter.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { smoothingCoefficient } from '../time-constant.ts'

const SIBILANT_FROM_HZ = 4500
const SIBILANT_TO_HZ = 10_500
const VOICE_FROM_HZ = 200
const VOICE_TO_HZ = 4000

// Both bands rise alike, so that a glottal pulse does not look like an s, and the voice
// falls a little later, so that the end of any sound does not either.
const ATTACK_SECONDS = 0.001
const SIBILANT_RELEASE_SECONDS = 0.008
const VOICE_RELEASE_SECONDS = 0.01

/** Mean square of -84 dBFS: what is quieter than this is not called sibilant. */
const FLOOR_POWER = 10 ** -8.4
const SILENT_POWER = 1e-30

export interface SibilanceDetector {
  readonly memory: readonly Float64Array[]
  /** Writes the ratio of the bands' powers; over several channels the greatest. */
  run(leader: Channels, ratios: Float64Array, frames: number): void
}

export function createSibilanceDetector(channels: number, sampleRateHz: number): SibilanceDetector {
  const steep = butterworthQs(24)
  const gentle = butterworthQs(12)
  const sibilantBand = createSideChainFilter(
    [
      ...sideChainHighPass(SIBILANT_FROM_HZ, steep, sampleRateHz),
      ...sideChainLowPass(SIBILANT_TO_HZ, gentle, sampleRateHz),
    ],
    channels,
  )
  const voiceBand = createSideChainFilter(
    [
      ...sideChainHighPass(VOICE_FROM_HZ, gentle, sampleRateHz),
      ...sideChainLowPass(VOICE_TO_HZ, steep, sampleRateHz),
    ],
    channels,
  )
  const attackA = smoothingCoefficient(ATTACK_SECONDS, sampleRateHz)
  const sibilantReleaseA = smoothingCoefficient(SIBILANT_RELEASE_SECONDS, sampleRateHz)
  const voiceReleaseA = smoothingCoefficient(VOICE_RELEASE_SECONDS, sampleRateHz)
  /** Power of both bands, channel after channel. */
  const powers = new Float64Array(2 * channels)
  const sibilant = new Float64Array(BLOCK_FRAMES)
  const voice = new Float64Array(BLOCK_FRAMES)

  return {
    memory: [sibilantBand.memory, voiceBand.memory, powers],
    run(leader, ratios, frames) {
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
        for (let i = 0; i < frames; i++) {
          const s = sibilant[i] * sibilant[i]
          const v = voice[i] * voice[i]
          above = s + (s > above ? attackA : sibilantReleaseA) * (above - s)
          below = v + (v > below ? attackA : voiceReleaseA) * (below - v)
          if (above < SILENT_POWER) above = 0
          if (below < SILENT_POWER) below = 0
          const ratio = above / (below + FLOOR_POWER)
          if (channel === 0 || ratio > ratios[i]) ratios[i] = ratio
        }
        powers[2 * channel] = above
        powers[2 * channel + 1] = below
      }
    },
  }
}
