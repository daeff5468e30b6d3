import { describe, expect, it } from 'vitest'
import { cookbookBand, cookbookHighPass } from '../../../app/dsp/filters/cookbook.ts'
import { sectionsResponseDb } from '../../../app/dsp/filters/response.ts'
import type { SvfCoefficients } from '../../../app/dsp/filters/svf.ts'
import { createSectionStage } from '../../../app/dsp/stages/section-stage.ts'
import { impulse } from '../../signals/impulses.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { runMono, runStage } from '../stages/stage-laws.ts'

/** H(z) = (b0 + b1/z + b2/z^2) / (1 + a1/z + a2/z^2). */
interface Biquad {
  readonly b0: number
  readonly b1: number
  readonly b2: number
  readonly a1: number
  readonly a2: number
}

// Worked examples at 48 kHz: W3C Working Group Note "Audio EQ Cookbook", 8 June 2021,
// its formulas evaluated in double precision apart from this program, a0 = 1.
const EXAMPLES: {
  name: string
  section: SvfCoefficients
  biquad: Biquad
  levelsDb: [frequencyHz: number, levelDb: number][]
}[] = [
  {
    name: 'high-pass 80 Hz, Q 1/sqrt 2',
    section: cookbookHighPass(80, Math.SQRT1_2, 48000),
    biquad: {
      b0: 0.992622542756,
      b1: -1.985245085512,
      b2: 0.992622542756,
      a1: -1.985190657896,
      a2: 0.985299513128,
    },
    levelsDb: [
      [40, -12.304601],
      [80, -3.0103],
      [160, -0.263261],
    ],
  },
  {
    name: 'low shelf 200 Hz, +3 dB, S 1',
    section: cookbookBand({ shape: 'low-shelf', frequencyHz: 200, gainDb: 3, q: Math.SQRT1_2 }, 48000),
    biquad: {
      b0: 1.003205651529,
      b1: -1.965924665816,
      b2: 0.963519976823,
      a1: -1.966041628058,
      a2: 0.966608666109,
    },
    levelsDb: [
      [50, 2.988099],
      [200, 1.5],
      [1000, 0.004861],
    ],
  },
  {
    name: 'peaking 3 kHz, -4.5 dB, Q 1.4',
    section: cookbookBand({ shape: 'bell', frequencyHz: 3000, gainDb: -4.5, q: 1.4 }, 48000),
    biquad: {
      b0: 0.93916994203,
      b1: -1.569775469767,
      b2: 0.759942782656,
      a1: -1.569775469767,
      a2: 0.699112724686,
    },
    levelsDb: [
      [1500, -0.828917],
      [3000, -4.5],
      [6000, -0.764559],
    ],
  },
  {
    name: 'high shelf 10 kHz, +6 dB, S 1',
    section: cookbookBand({ shape: 'high-shelf', frequencyHz: 10000, gainDb: 6, q: Math.SQRT1_2 }, 48000),
    biquad: {
      b0: 1.489304746372,
      b1: -0.745543633452,
      b2: 0.322025466953,
      a1: -0.107842975063,
      a2: 0.173629554936,
    },
    levelsDb: [
      [2000, 0.005617],
      [10000, 3],
      [20000, 5.98843],
    ],
  },
]

/** The difference equation of a biquad, direct form I. */
function directForm({ b0, b1, b2, a1, a2 }: Biquad, input: Float64Array): Float64Array {
  const output = new Float64Array(input.length)
  for (let n = 0; n < input.length; n++) {
    output[n] =
      b0 * input[n] +
      b1 * (input[n - 1] ?? 0) +
      b2 * (input[n - 2] ?? 0) -
      a1 * (output[n - 1] ?? 0) -
      a2 * (output[n - 2] ?? 0)
  }
  return output
}

function greatestDifference(a: Float64Array, b: Float64Array): number {
  return a.reduce((most, value, n) => Math.max(most, Math.abs(value - b[n])), 0)
}

describe.each(EXAMPLES)(
  'state-variable section against the cookbook: $name',
  ({ section, biquad, levelsDb }) => {
    it('has the impulse response of the worked coefficients (1e-9 of their 1e-12)', () => {
      const { output } = runMono((layout) => createSectionStage([section], layout), impulse(4096))
      expect(greatestDifference(output, directForm(biquad, impulse(4096)))).toBeLessThan(1e-9)
    })

    it('filters two channels at once as the difference equation does', () => {
      const input = [whiteNoise(4096, 1), whiteNoise(4096, 2)]
      const stage = createSectionStage([section], { sampleRateHz: 48_000, laneChannels: [2] })
      const [output] = runStage(stage, [input])
      expect(greatestDifference(output[0], directForm(biquad, input[0]))).toBeLessThan(1e-8)
      expect(greatestDifference(output[1], directForm(biquad, input[1]))).toBeLessThan(1e-8)
    })

    it('has the worked levels (1e-4 dB)', () => {
      for (const [frequencyHz, levelDb] of levelsDb) {
        expect(Math.abs(sectionsResponseDb([section], [frequencyHz], 48000)[0] - levelDb)).toBeLessThan(1e-4)
      }
    })
  },
)
