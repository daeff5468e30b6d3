import { describe, expect, it } from 'vitest'
import { designBand } from '../../../app/dsp/filters/matched.ts'
import type { SvfCoefficients } from '../../../app/dsp/filters/svf.ts'
import { createSectionStage } from '../../../app/dsp/stages/section-stage.ts'
import { tone } from '../../signals/tones.ts'
import { restoreMemory, saveMemory } from '../reference/checkpoint.ts'

const RATE_HZ = 48000
const bell = (frequencyHz: number) => designBand({ shape: 'bell', frequencyHz, gainDb: 12, q: 4 }, RATE_HZ)

/** Runs a sine through one section whose coefficients change every `blockFrames`, its state handed on. */
function greatestUnderMotion(
  input: Float64Array,
  blockFrames: number,
  sectionAt: (block: number) => SvfCoefficients,
): number {
  const samples = input.slice()
  let memory: Float64Array[] | null = null
  for (let from = 0; from < samples.length; from += blockFrames) {
    const stage = createSectionStage([sectionAt(from / blockFrames)], {
      sampleRateHz: RATE_HZ,
      laneChannels: [1],
    })
    if (memory !== null) restoreMemory(stage, memory)
    const block = samples.subarray(from, from + blockFrames)
    stage.process([[block]], block.length)
    memory = saveMemory(stage)
  }
  return samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
}

// The motions under which direct forms of the same filters overflow: no output may be
// above twice the static maximum (common practice; Zavalishin on time-varying filters).
describe('the section keeps calm while it moves', () => {
  it('+12 dB, Q 4, jumping between 100 and 4000 Hz every 64 samples under a 60 Hz sine', () => {
    const sections = [bell(100), bell(4000)]
    const input = tone(RATE_HZ, RATE_HZ, 60, 0.5)
    const still = greatestUnderMotion(input, 64, () => sections[0])
    expect(greatestUnderMotion(input, 64, (block) => sections[block % 2])).toBeLessThan(2 * still)
  })

  it('+12 dB, Q 4, swept from 20 Hz to 20 kHz in half a second under a 1 kHz sine', () => {
    const input = tone(RATE_HZ / 2, RATE_HZ, 1000, 0.5)
    const blocks = input.length / 32
    const greatest = greatestUnderMotion(input, 32, (block) => bell(20 * 1000 ** (block / blocks)))
    expect(greatest).toBeLessThan(2 * 0.5 * 10 ** (12 / 20))
  })
})
