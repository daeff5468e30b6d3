// A crude voice with a known truth for level-dependent stages: vowels from a sum of
// harmonics under formants, and hissed s-like noise around 7 kHz between them.

import { createRandom } from '../../app/dsp/maths/random.ts'

/** Half-open span of frames. */
export interface SoundSpan {
  readonly from: number
  readonly to: number
}

export interface HissedLine {
  readonly samples: Float64Array
  readonly vowels: readonly SoundSpan[]
  readonly hisses: readonly SoundSpan[]
}

const VOWEL_SECONDS = 0.28
const HISS_SECONDS = 0.12
/** An open vowel: centre and width of each formant. */
const FORMANTS = [
  [730, 90],
  [1090, 110],
  [2440, 170],
  [3400, 250],
  [4500, 300],
]

/** Vowel and hiss in turn, each faded over 15 ms. @param hissRms of the hiss before its fades */
export function hissedLine(
  syllables: number,
  sampleRateHz: number,
  seed: number,
  { pitchHz = 120, vowelPeak = 0.35, hissRms = 0.1 } = {},
): HissedLine {
  const vowelFrames = Math.round(VOWEL_SECONDS * sampleRateHz)
  const hissFrames = Math.round(HISS_SECONDS * sampleRateHz)
  const frames = syllables * (vowelFrames + hissFrames)
  const vowel = openVowel(vowelFrames, sampleRateHz, pitchHz, vowelPeak)
  const hiss = hissNoise(frames, sampleRateHz, seed, hissRms)
  const samples = new Float64Array(frames)
  const vowels: SoundSpan[] = []
  const hisses: SoundSpan[] = []
  const fade = 0.015 * sampleRateHz
  for (let syllable = 0; syllable < syllables; syllable++) {
    const from = syllable * (vowelFrames + hissFrames)
    const middle = from + vowelFrames
    const to = middle + hissFrames
    for (let n = from; n < middle; n++) {
      samples[n] = vowel[n - from] * Math.min(1, (n - from) / fade, (middle - n) / fade)
    }
    for (let n = middle; n < to; n++) samples[n] = hiss[n] * Math.min(1, (n - middle) / fade, (to - n) / fade)
    vowels.push({ from, to: middle })
    hisses.push({ from: middle, to })
  }
  return { samples, vowels, hisses }
}

function openVowel(frames: number, sampleRateHz: number, pitchHz: number, peak: number): Float64Array {
  const samples = new Float64Array(frames)
  for (let harmonic = 1; harmonic * pitchHz < 0.42 * sampleRateHz; harmonic++) {
    const frequencyHz = harmonic * pitchHz
    let level = 0
    for (const [centre, width] of FORMANTS) {
      level += 1 / Math.hypot(1 - (frequencyHz / centre) ** 2, (width * frequencyHz) / centre ** 2)
    }
    level /= harmonic * (1 + (frequencyHz / 5000) ** 2)
    const step = (2 * Math.PI * frequencyHz) / sampleRateHz
    for (let n = 0; n < frames; n++) samples[n] += level * Math.sin(step * n + harmonic)
  }
  const greatest = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0)
  return samples.map((x) => (x * peak) / greatest)
}

/** White noise through three resonances at 5.5, 7 and 8.5 kHz in a row. */
function hissNoise(frames: number, sampleRateHz: number, seed: number, rms: number): Float64Array {
  const random = createRandom(seed)
  const samples = Float64Array.from({ length: frames }, () => random.normal())
  for (const frequencyHz of [5500, 7000, 8500]) {
    const radius = Math.exp((-Math.PI * 3000) / sampleRateHz)
    const turn = 2 * radius * Math.cos((2 * Math.PI * frequencyHz) / sampleRateHz)
    let y1 = 0
    let y2 = 0
    let x1 = 0
    let x2 = 0
    for (let n = 0; n < frames; n++) {
      const x = samples[n]
      const y = x - x2 + turn * y1 - radius * radius * y2
      x2 = x1
      x1 = x
      y2 = y1
      y1 = y
      samples[n] = y
    }
  }
  const power = samples.reduce((sum, x) => sum + x * x, 0) / frames
  return samples.map((x) => (x * rms) / Math.sqrt(power))
}
