import { describe, expect, it } from 'vitest'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import type { StageLayout } from '../../../app/dsp/stage.ts'
import { createOpto } from '../../../app/dsp/stages/opto.ts'
import type { OptoSettings } from '../../../app/dsp/stages/settings.ts'
import { sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { type ToneSegment, tone, toneSequence } from '../../signals/tones.ts'
import { SOFT_KNEE_TABLE } from './soft-knee-table.ts'
import { itKeepsTheLawsOfStages, runMono, runStage } from './stage-laws.ts'

const FS = 48_000
const TABLE: OptoSettings = {
  thresholdDbfs: -20,
  ratio: 4,
  kneeDb: 6,
  attackMs: 10,
  releaseMs: 60,
  recoverySeconds: 3,
  makeUpDb: 0,
}
const create =
  (settings: Partial<OptoSettings> = {}) =>
  (layout: StageLayout) =>
    createOpto({ ...TABLE, ...settings }, layout)

/** Reduction in dB at every frame of a tone, read where the tone is far from its zero crossings. */
function reductionOf(segments: ToneSegment[], settings: Partial<OptoSettings>): Float64Array {
  const input = toneSequence(segments, FS, 997)
  const { output } = runMono(create(settings), input)
  let last = 0
  return input.map((x, n) => {
    if (Math.abs(x) > 1e-6) last = -20 * Math.log10(Math.abs(output[n] / x))
    return last
  })
}

/** Reduction in dB at every frame, read from a follower of ones. */
function reductionAt(
  sampleRateHz: number,
  leader: Float64Array[],
  settings: Partial<OptoSettings>,
): Float64Array {
  const ones = new Float64Array(leader[0].length).fill(1)
  const stage = create(settings)({ sampleRateHz, laneChannels: [leader.length, 1] })
  return runStage(stage, [leader, [ones]])[1][0].map((gain) => -20 * Math.log10(gain))
}

const firstAt = (values: Float64Array, from: number, claim: (value: number) => boolean) =>
  (values.findIndex((value, n) => n >= from && claim(value)) - from) / FS

describe('opto (figure F5)', () => {
  itKeepsTheLawsOfStages('opto', create({ thresholdDbfs: -30, makeUpDb: 3 }))

  // A sine of peak level L reads L dBFS (AES17: 0 dBFS is a full-scale sine).
  it.each(SOFT_KNEE_TABLE)(
    'static curve: a 1 kHz sine at %d dBFS leaves at %d dBFS within 0.1 dB (JAES 60(6) eq. 4)',
    (inputDb, outputDb) => {
      const input = tone(2 * FS, FS, 1000, 10 ** (inputDb / 20))
      const { output } = runMono(create(), input)
      const levelDb = 20 * Math.log10(sineAmplitude(output.subarray(FS), 1000, FS))
      expect(Math.abs(levelDb - outputDb)).toBeLessThan(0.1)
    },
  )

  it.each([300, 3000, 12_000])('static curve: the reading at %d Hz is within 0.1 dB too', (frequencyHz) => {
    const { output } = runMono(create(), tone(2 * FS, FS, frequencyHz, 10 ** (-10 / 20)))
    expect(
      Math.abs(20 * Math.log10(sineAmplitude(output.subarray(FS), frequencyHz, FS)) + 17.5),
    ).toBeLessThan(0.1)
  })

  // Time constant: 63.212 % of a step (definition in JAES 60(6), 2012).
  it.each([
    [3, 4],
    [3, 1.2],
    [10, 4],
    [20, 4],
    [50, 4],
  ])('attack %d ms, %d:1: 63.2 %% of the reduction of a tone 12 dB over, within 5 %%', (attackMs, ratio) => {
    const reduction = reductionOf(
      [
        { seconds: 0.5, peakDbfs: -Infinity },
        { seconds: 1.5, peakDbfs: -8 },
      ],
      { attackMs, ratio, kneeDb: 0 },
    )
    const reached = firstAt(reduction, FS / 2, (value) => value >= 12 * (1 - 1 / ratio) * (1 - Math.exp(-1)))
    expect(Math.abs((reached * 1000) / attackMs - 1)).toBeLessThan(0.05)
  })

  it.each([40, 60, 100])(
    'release %d ms: time constant of the first half after a 10 ms burst, within 5 %%',
    (releaseMs) => {
      const reduction = reductionOf(
        [
          { seconds: 0.01, peakDbfs: -6 },
          { seconds: 1, peakDbfs: -60 },
        ],
        { attackMs: 1, releaseMs, recoverySeconds: 5 },
      )
      // By differences, so that what the slow cell holds meanwhile falls out of the slope.
      const at = (ms: number) => reduction[Math.round(48 * ms)]
      const start = 25
      const [first, second, third] = [0, 1, 2].map((k) => at(start + (k * releaseMs) / 2))
      const measuredMs = releaseMs / 2 / Math.log((first - second) / (second - third))
      expect(Math.abs(measuredMs / releaseMs - 1)).toBeLessThan(0.05)
    },
  )

  describe('release with memory, 3:1, knee 10 dB, release 60 ms, recovery 5 s', () => {
    const settings = { ratio: 3, kneeDb: 10, recoverySeconds: 5 }
    function releaseOf(burstSeconds: number) {
      const reduction = reductionOf(
        [
          { seconds: burstSeconds, peakDbfs: -6 },
          { seconds: 9, peakDbfs: -60 },
        ],
        settings,
      )
      const end = Math.round(burstSeconds * FS)
      const top = reduction[end - 1]
      const to = (share: number) => firstAt(reduction, end, (value) => value <= top * (1 - share))
      return { half: to(0.5), most: to(0.9), after: reduction.subarray(end + 2400) }
    }
    const short = releaseOf(0.2)
    const long = releaseOf(5)

    it(`half goes in tens of ms up to 0.2 s (${short.half.toFixed(3)} and ${long.half.toFixed(3)} s)`, () => {
      expect(short.half).toBeGreaterThan(0.05)
      expect(long.half).toBeLessThan(0.2)
    })

    it(`nine tenths go in 0.4 to 1.5 s after a 0.2 s burst (${short.most.toFixed(2)} s)`, () => {
      expect(short.most).toBeGreaterThan(0.4)
      expect(short.most).toBeLessThan(1.5)
    })

    it(`after a 5 s burst that takes at least 2.5 times as long (${long.most.toFixed(2)} s), within 5 s`, () => {
      expect(long.most).toBeGreaterThan(2.5 * short.most)
      expect(long.most).toBeLessThan(5)
    })

    it('never rises on the way back', () => {
      for (const after of [short.after, long.after]) {
        expect(after.every((value, n) => n === 0 || value <= after[n - 1] + 1e-9)).toBe(true)
      }
    })
  })

  // THD as in IEC 60268-3 14.12.2: rms of the harmonics over the fundamental.
  it.each([1, 10])(
    'distortion under 0.3 %% on a 100 Hz tone at 6 dB of reduction, attack %d ms',
    (attackMs) => {
      const input = tone(4 * FS, FS, 100, 10 ** (-12 / 20))
      // The side chain weights 100 Hz by -19.3 dB, about as the A weighting of IEC 61672-1 does, by -19.1 dB.
      const { output } = runMono(create({ thresholdDbfs: -39.3, attackMs }), input)
      const late = output.subarray(2 * FS)
      const fundamental = sineAmplitude(late, 100, FS)
      expect(20 * Math.log10(fundamental / 10 ** (-12 / 20))).toBeCloseTo(-6, 1)
      let power = 0
      for (let harmonic = 2; harmonic <= 20; harmonic++) power += sineAmplitude(late, 100 * harmonic, FS) ** 2
      expect(Math.sqrt(power) / fundamental).toBeLessThan(0.003)
    },
  )

  it('leaves everything under the knee alone, bit for bit', () => {
    const input = tone(FS, FS, 440, 10 ** (-23.1 / 20))
    expect(runMono(create(), input).output).toEqual(input)
  })

  it('gives make-up to what it does not reduce', () => {
    const { output } = runMono(create({ makeUpDb: 6 }), tone(FS, FS, 440, 0.01))
    expect(20 * Math.log10(sineAmplitude(output, 440, FS) / 0.01)).toBeCloseTo(6, 9)
  })

  it('reads no ripple: on a steady 80 Hz tone nothing but the tone is above -90 dB', () => {
    const { output } = runMono(create({ attackMs: 20, thresholdDbfs: -48 }), tone(6 * FS, FS, 80, 0.5))
    const { amplitudes, binHz } = spectrumOf(output.subarray(3 * FS), FS)
    const bin = Math.round(80 / binHz)
    const rest = amplitudes.reduce((most, x, k) => (Math.abs(k - bin) > 30 ? Math.max(most, x) : most), 0)
    expect(20 * Math.log10(rest / amplitudes[bin])).toBeLessThan(-90)
  })

  // Eq. 4 of JAES 60(6), 2012, for a hard knee: slope times what is over.
  it.each([
    [10, 60, 3, 4, 1000],
    [1, 500, 5, 4, 1000],
    [1, 500, 5, 20, 1000],
    [1, 20, 0.5, 20, 300],
    [200, 20, 0.5, 20, 1000],
  ])(
    'attack %d ms, release %d ms, recovery %d s, %d:1, %d Hz: never over 0.5 dB past the static curve, 0.1 dB at rest',
    (attackMs, releaseMs, recoverySeconds, ratio, frequencyHz) => {
      const wanted = 24 * (1 - 1 / ratio)
      const input = tone(4 * FS, FS, frequencyHz, 10 ** (-16 / 20))
      const reduction = reductionAt(FS, [input], {
        ...{ thresholdDbfs: -40, kneeDb: 0, ratio, attackMs, releaseMs, recoverySeconds },
      })
      expect(reduction.reduce((a, b) => Math.max(a, b)) - wanted).toBeLessThan(0.5)
      expect(Math.abs(reduction[reduction.length - 1] - wanted)).toBeLessThan(0.1)
    },
  )

  it.each([44_100, 96_000, 192_000])('at %d Hz: the same attack, and not past the static curve', (rateHz) => {
    const input = toneSequence(
      [
        { seconds: 0.1, peakDbfs: -Infinity },
        { seconds: 0.5, peakDbfs: -8 },
        { seconds: 0.2, peakDbfs: -40 },
        { seconds: 0.5, peakDbfs: -8 },
      ],
      rateHz,
      997,
    )
    const reduction = reductionAt(rateHz, [input], { kneeDb: 0, attackMs: 10, releaseMs: 500 })
    const from = rateHz / 10
    const reached = reduction.findIndex((value) => value >= 9 * (1 - Math.exp(-1))) - from
    expect(Math.abs((reached * 100) / rateHz - 1)).toBeLessThan(0.05)
    expect(reduction.reduce((a, b) => Math.max(a, b))).toBeLessThan(9.5)
    expect(Math.abs(reduction[reduction.length - 1] - 9)).toBeLessThan(0.1)
  })

  // What is no step: the greatest level's static reduction bounds all of it. The pair of sides gives the leader's loudest.
  it.each([
    ['alternating levels', 0.04, -6],
    ['bursts', 0.2, -60],
    ['tremolo', 0.01, -20],
  ])(
    '%s, in the middle and from side to side: never over 0.5 dB past the static curve',
    (_, seconds, lowDb) => {
      const loud = Array.from({ length: Math.round(1.2 / seconds) }, (_, n) => n % 2 === 0)
      const partsOf = (isLoud: (one: boolean) => boolean) =>
        toneSequence(
          loud.map((one) => ({ seconds, peakDbfs: -16 + (isLoud(one) ? 0 : lowDb) })),
          FS,
        )
      const left = partsOf((one) => one)
      const right = partsOf((one) => !one)
      for (const channels of [[left], [left, right]]) {
        const reduction = reductionAt(FS, channels, {
          ...{ thresholdDbfs: -40, kneeDb: 0, ratio: 20, attackMs: 1, releaseMs: 500, recoverySeconds: 5 },
        })
        expect(Math.max(...reduction.subarray(0, FS / 100))).toBeGreaterThan(20)
        expect(reduction.reduce((a, b) => Math.max(a, b))).toBeLessThan(22.8 + 0.5)
        // One of both sides is always loud.
        if (channels.length === 2)
          expect(reduction.subarray(FS / 20).reduce((a, b) => Math.min(a, b))).toBeGreaterThan(22.3)
      }
    },
  )

  // A wave that is cut off away from its zero crossings has energy far beyond its frequency, which rings in the side chain.
  it.each([300, 400, 1000])('a tone of %d Hz that starts and stops in mid-wave: the same', (frequencyHz) => {
    const random = createRandom(7)
    for (let course = 0; course < 20; course++) {
      const input = tone(FS, FS, frequencyHz, 10 ** (-16 / 20))
      for (let from = FS / 10; from < FS; ) {
        const to = Math.round(from + (0.02 + 0.06 * random.uniform()) * FS)
        input.fill(0, from, to)
        from = Math.round(to + (0.02 + 0.06 * random.uniform()) * FS)
      }
      const reduction = reductionAt(FS, [input], {
        ...{
          thresholdDbfs: -40,
          kneeDb: 0,
          ratio: 20,
          attackMs: 1 + (course % 2),
          releaseMs: 500,
          recoverySeconds: 5,
        },
      })
      expect(reduction.reduce((a, b) => Math.max(a, b))).toBeLessThan(22.8 + 0.5)
    }
  })

  // Fundamentals of male speech reach from about 85 to 155 Hz (common practice); the limits are ours.
  it.each([
    [120, -7.5, -6],
    [140, -1, 0.5],
    [160, 0, 0.5],
    [200, 0, 0.5],
    [250, 0, 0.5],
  ])('a tone at %d Hz reads between %d and %d dB beside what it is', (frequencyHz, leastDb, mostDb) => {
    const reduction = reductionAt(FS, [tone(FS, FS, frequencyHz, 10 ** (-16 / 20))], {
      ...{ thresholdDbfs: -40, kneeDb: 0, ratio: 20, attackMs: 10 },
    })
    const read = reduction[FS - 1] / 0.95 - 24
    expect(read).toBeGreaterThan(leastDb)
    expect(read).toBeLessThan(mostDb)
    expect(reduction.reduce((a, b) => Math.max(a, b)) - 22.8).toBeLessThan(0.5)
  })

  it.each([60, 80, 100])(
    'a thump at %d Hz and -3 dBFS takes at most 1.5 dB, 20 dB over the threshold',
    (hz) => {
      const thump = tone(0.15 * FS, FS, hz, 10 ** (-3 / 20)).map(
        (x, n) => x * Math.sin((Math.PI * n) / (0.15 * FS)) ** 2,
      )
      const reduction = reductionAt(FS, [thump], { thresholdDbfs: -23, kneeDb: 10 })
      expect(reduction.reduce((a, b) => Math.max(a, b))).toBeLessThan(1.5)
    },
  )
})
