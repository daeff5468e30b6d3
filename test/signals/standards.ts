// Test signals from EBU Tech 3341 v4 (2023) Table 1 and Tech 3342 v4 (2023) Table 1: only the
// synthetic ones, because the others are programme recordings.

import { fadeEnds, type ToneSegment, tone, toneSequence } from './tones.ts'

const SILENCE = -Infinity

function stereo(segments: readonly ToneSegment[], sampleRateHz: number): Float64Array[] {
  const signal = toneSequence(segments, sampleRateHz)
  return [signal, signal]
}

function segments(...pairs: readonly (readonly [seconds: number, peakDbfs: number])[]): ToneSegment[] {
  return pairs.map(([seconds, peakDbfs]) => ({ seconds, peakDbfs }))
}

/** Tech 3341 cases 1 to 5: integrated loudness, stereo in phase. */
export function integratedCase(number: 1 | 2 | 3 | 4 | 5, sampleRateHz: number): Float64Array[] {
  const cases = {
    1: segments([20, -23]),
    2: segments([20, -33]),
    3: segments([10, -36], [60, -23], [10, -36]),
    4: segments([10, -72], [10, -36], [60, -23], [10, -36], [10, -72]),
    5: segments([20, -26], [20.1, -20], [20, -26]),
  }
  return stereo(cases[number], sampleRateHz)
}

/** Tech 3341 case 6: 5.0 in the order L R C Ls Rs. */
export function surroundCase(sampleRateHz: number): Float64Array[] {
  return [-28, -28, -24, -30, -30].map((peakDbfs) => toneSequence(segments([20, peakDbfs]), sampleRateHz))
}

/** Tech 3341 cases 9 (short-term) and 12 (momentary): alternating tones with a constant reading. */
export function alternatingCase(number: 9 | 12, sampleRateHz: number): Float64Array[] {
  const [loudSeconds, softSeconds, times] = number === 9 ? [1.34, 1.66, 5] : [0.18, 0.22, 25]
  return stereo(
    Array.from({ length: times }, () => segments([loudSeconds, -20], [softSeconds, -30])).flat(),
    sampleRateHz,
  )
}

/** Tech 3341 cases 10 (short-term) and 13 (momentary): segment i (0 to 19), each in a signal of its own. */
export function lateToneCase(number: 10 | 13, i: number, sampleRateHz: number): Float64Array[] {
  const [waitSeconds, toneSeconds] = number === 10 ? [0.15, 3] : [0.02, 0.4]
  return stereo(segments([i * waitSeconds, SILENCE], [toneSeconds, -23], [1, SILENCE]), sampleRateHz)
}

/** Tech 3341 cases 11 (short-term) and 14 (momentary): all 20 segments in one signal, and the length of a segment. */
export function risingToneCase(
  number: 11 | 14,
  sampleRateHz: number,
): { readonly signal: Float64Array[]; readonly segmentSeconds: number } {
  const [waitSeconds, toneSeconds] = number === 11 ? [0.15, 3] : [0.02, 0.4]
  const parts = Array.from({ length: 20 }, (_, i) =>
    segments([i * waitSeconds, SILENCE], [toneSeconds, -38 + i], [toneSeconds - i * waitSeconds, SILENCE]),
  )
  return { signal: stereo(parts.flat(), sampleRateHz), segmentSeconds: 2 * toneSeconds }
}

/** Tech 3341 cases 15 to 19: sines with fades whose peaks fall between samples. */
export function missedPeakCase(number: 15 | 16 | 17 | 18 | 19, sampleRateHz: number): Float64Array[] {
  const cases = {
    15: { divisor: 4, amplitude: 0.5, phaseDegrees: 0 },
    16: { divisor: 4, amplitude: 0.5, phaseDegrees: 45 },
    17: { divisor: 6, amplitude: 0.5, phaseDegrees: 60 },
    18: { divisor: 8, amplitude: 0.5, phaseDegrees: 67.5 },
    19: { divisor: 4, amplitude: 1.41, phaseDegrees: 45 },
  }
  const { divisor, amplitude, phaseDegrees } = cases[number]
  const signal = tone(sampleRateHz, sampleRateHz, sampleRateHz / divisor, amplitude, phaseDegrees)
  fadeEnds(signal, sampleRateHz, 10)
  return [signal, signal]
}

/**
 * Tech 3341 cases 20 to 23: one full-scale period of fs/4 inserted into a half-scale sine of
 * fs/6, generated at 4 fs, low-passed, and decimated from sample `case - 20`. The standard does
 * not specify the low-pass; this one is a 257-tap windowed sinc, -6 dB at fs/2.
 */
export function insertedPeriodCase(number: 20 | 21 | 22 | 23, sampleRateHz: number): Float64Array[] {
  const before = 24 * 500
  const inserted = 16
  const made = Float64Array.from({ length: 2 * before + inserted }, (_, n) => {
    if (n >= before && n < before + inserted) return Math.sin((2 * Math.PI * (n - before)) / 16)
    return 0.5 * Math.sin((2 * Math.PI * (n < before ? n : n - before - inserted)) / 24)
  })
  const half = 128
  const lowPass = Float64Array.from({ length: 2 * half + 1 }, (_, k) => {
    const t = (k - half) / 4
    const blackman =
      0.42 +
      0.5 * Math.cos((Math.PI * (k - half)) / half) +
      0.08 * Math.cos((2 * Math.PI * (k - half)) / half)
    return (t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t)) * (blackman / 4)
  })
  const offset = number - 20
  const frames = Math.floor((made.length - offset) / 4)
  const signal = Float64Array.from({ length: frames }, (_, n) => {
    let sum = 0
    for (let k = -half; k <= half; k++) sum += lowPass[k + half] * (made[4 * n + offset + k] ?? 0)
    return sum
  })
  fadeEnds(signal, sampleRateHz, 10)
  return [signal, signal]
}

/** Tech 3342 cases 1 to 4: loudness range, 20 s per tone. */
export function rangeCase(number: 1 | 2 | 3 | 4, sampleRateHz: number): Float64Array[] {
  const cases = { 1: [-20, -30], 2: [-20, -15], 3: [-40, -20], 4: [-50, -35, -20, -35, -50] }
  return stereo(
    cases[number].map((peakDbfs) => ({ seconds: 20, peakDbfs })),
    sampleRateHz,
  )
}
