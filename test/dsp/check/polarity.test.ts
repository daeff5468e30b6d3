import { describe, expect, it } from 'vitest'
import { createLinearPredictor } from '../../../app/dsp/check/linear-prediction.ts'
import { createStage } from '../../../app/dsp/stages/create-stage.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import {
  addWhiteNoise,
  announcements,
  CLIPS,
  checkOf,
  heldVowelTake,
  RATE_HZ,
  SINGERS,
  songTake,
} from '../../signals/checking.ts'
import { musicLoop } from '../../signals/music-loop.ts'

const turned = (samples: ArrayLike<number>): Float64Array => Float64Array.from(samples, (sample) => -sample)

describe('polarity from the skewness of the residual (Drugman 2013)', () => {
  for (const vowel of ['AA', 'IY', 'UW']) {
    it.each([100, 150, 240])(`is right for ${vowel} at %d Hz, both ways round`, (tonicHz) => {
      const take = heldVowelTake(vowel, tonicHz)
      const right = checkOf(take).evidence.polarity
      const wrong = checkOf(turned(take)).evidence.polarity
      console.log(
        `  ${vowel} ${tonicHz} Hz: skewness ${right.skewness!.toFixed(2)}, confidence ${right.confidence.toFixed(1)}, ${right.voicedSeconds.toFixed(0)} s`,
      )
      expect(right.voicedSeconds).toBeGreaterThan(18)
      expect(right.verdict).toBe('positive')
      expect(wrong.verdict).toBe('inverted')
      expect(wrong.skewness).toBeCloseTo(-right.skewness!, 6)
    })
  }

  it('is right after a correction of the mic', () => {
    for (const singer of SINGERS) {
      const take = Float64Array.from(songTake(singer, 2).samples)
      const stage = createStage(
        {
          kind: 'tone',
          settings: {
            bands: [
              { shape: 'low-shelf', frequencyHz: 200, gainDb: -5, q: 0.7 },
              { shape: 'bell', frequencyHz: 3000, gainDb: 6, q: 1 },
              { shape: 'high-shelf', frequencyHz: 8000, gainDb: 5, q: 0.7 },
            ],
          },
        } as Parameters<typeof createStage>[0],
        { sampleRateHz: RATE_HZ, laneChannels: [1] },
      )
      for (let at = 0; at < take.length; at += 1024) {
        const block = take.subarray(at, Math.min(take.length, at + 1024))
        stage.process([[block]], block.length)
      }
      expect(checkOf(take).evidence.polarity.verdict).toBe('positive')
      const { findings } = checkOf(turned(take))
      const finding = findings.find(({ kind }) => kind === 'inverted-polarity')!
      expect(finding.confidence).toBeGreaterThan(3)
    }
  })

  it('abstains on noise, on music and on a second of voice', () => {
    const noise = addWhiteNoise(new Float64Array(20 * RATE_HZ), -20, 4)
    expect(checkOf(noise).evidence.polarity.verdict).toBe('undecided')
    expect(checkOf(musicLoop(20, RATE_HZ)).evidence.polarity.verdict).toBe('undecided')
    const short = songTake(SINGERS[0], 2).samples.subarray(0, 2.5 * RATE_HZ)
    expect(checkOf(short).evidence.polarity.verdict).toBe('undecided')
  })

  it.skipIf(!haveMaterial(CLIPS) || !hasTool('ffmpeg'))('turns with real speech', () => {
    const speech = announcements()
    const one = checkOf(speech).evidence.polarity
    const other = checkOf(turned(speech)).evidence.polarity
    console.log(
      `  announcements: ${one.verdict}, skewness ${one.skewness!.toFixed(2)}, confidence ${one.confidence.toFixed(1)}`,
    )
    expect(new Set([one.verdict, other.verdict])).toEqual(new Set(['positive', 'inverted']))
  })
})

it('foretells an autoregressive signal as its own coefficients do', () => {
  // x[n] = 1.6 x[n-1] - 0.81 x[n-2] + e[n]: the residual is e, and the gain that of the process, 1 / (1 - k1^2)(1 - k2^2).
  const innovation = addWhiteNoise(new Float64Array(20_000), 0, 6)
  const signal = new Float64Array(20_000)
  for (let n = 2; n < signal.length; n++)
    signal[n] = 1.6 * signal[n - 1] - 0.81 * signal[n - 2] + innovation[n]
  const predictor = createLinearPredictor(2, 16_384)
  const gain = predictor.fit(signal, 2000)
  const k1 = -1.6 / 1.81
  const k2 = 0.81
  const expected = 1 / ((1 - k1 * k1) * (1 - k2 * k2))
  expect(Math.abs(10 * Math.log10(gain / expected))).toBeLessThan(0.5)
  const residual = new Float64Array(1000)
  predictor.residual(signal, 5000, 1000, residual)
  let error = 0
  let power = 0
  for (let n = 0; n < 1000; n++) {
    error += (residual[n] - innovation[5000 + n]) ** 2
    power += innovation[5000 + n] ** 2
  }
  expect(error / power).toBeLessThan(0.01)
})
