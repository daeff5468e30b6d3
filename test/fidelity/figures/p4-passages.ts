// P4 to P6: edges of passages, the power of fades, and takes that were cut and left, through the engine that bounces.

import type { PlannedPassage } from '../../../app/contract/passages/passage.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { createPassageSource } from '../../../app/engine/passages/passage-source.ts'
import { renderPlan } from '../../engine/rendering.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { cutAt, passageOf, randomComp } from '../../signals/passages.ts'
import { stageOf } from '../../signals/song-of.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { LIMITS } from '../limits.ts'
import { db, type Figure, greatestOf, type Reading, rowOf } from '../rows.ts'

const FS = 48_000
const RATES_HZ = [44_100, 48_000, 96_000]

function rendered(
  list: readonly PlannedPassage[],
  takes: readonly Float64Array[],
  rateHz = FS,
): Float64Array {
  const source = createPassageSource(
    list,
    takes.map((sound) => ({ open: () => takeInMemory([sound]), stages: [] })),
    1,
    rateHz,
  )
  const out = new Float64Array(source.frames)
  for (let at = 0; at < out.length; at += 1024)
    source.read(at, Math.min(1024, out.length - at), [out.subarray(at)])
  return out
}

/** Above 2 kHz: the sound less its low part, by a linear-phase Blackman sinc of 12 ms (-74 dB in the stop band). */
function highPassed(samples: Float64Array, rateHz: number): Float64Array {
  const half = Math.round(0.006 * rateHz)
  const taps = Float64Array.from({ length: 2 * half + 1 }, (_, i) => {
    const n = i - half
    const phase = (Math.PI * i) / half
    const window = 0.42 - 0.5 * Math.cos(phase) + 0.08 * Math.cos(2 * phase)
    return (n === 0 ? 4000 / rateHz : Math.sin((2 * Math.PI * 2000 * n) / rateHz) / (Math.PI * n)) * window
  })
  const sum = taps.reduce((total, tap) => total + tap, 0)
  return samples.map((sample, at) => {
    let low = 0
    for (let i = 0; i <= 2 * half; i++) low += (taps[i] / sum) * (samples[at + half - i] ?? 0)
    return sample - low
  })
}

/** Sounds without anything above 2 kHz, so that all that is found there comes from edges. */
function edgeReadings(): Reading[] {
  const frames = 2 * FS
  const low = (hz: number, phase: number) =>
    Float64Array.from({ length: frames }, (_, n) => Math.sin((2 * Math.PI * hz * n) / FS + phase))
  const sounds: readonly (readonly [string, readonly Float64Array[]])[] = [
    ['sines of 100 Hz', [low(100, 0), low(100, 2), low(100, 4)]],
    ['sines of 60, 100 and 150 Hz', [low(60, 0), low(100, 1), low(150, 2)]],
    ['DC', [1, -0.5, 0.7].map((level) => new Float64Array(frames).fill(level))],
    ['a sine and silence', [low(100, 1), new Float64Array(frames), low(100, 0)]],
  ]
  return sounds.flatMap(([name, takes]) =>
    [5, 25, 100].map((count, k): Reading => {
      const sound = rendered(randomComp(count, 3, frames, 20 + k), takes)
      return {
        where: `${name}, ${count} passages`,
        value: db(greatestOf(highPassed(sound, FS)) / greatestOf(sound)),
      }
    }),
  )
}

/** Noises of a planted correlation, faded over ten seconds: the power of every half second against that of either. */
function powerReadings(): Reading[] {
  const fade = 10 * FS
  const one = whiteNoise(fade, 1)
  const other = whiteNoise(fade, 2)
  return [0, 0.1, 0.25, 0.5, 0.75, 0.9, 1].map((r): Reading => {
    const alike = one.map((x, n) => r * x + Math.sqrt(1 - r * r) * other[n])
    const at = { fadeInCorrelation: r, fadeOutCorrelation: r }
    const sound = rendered(
      [
        passageOf(0, fade, { ...at, fadeOutFrames: fade }),
        passageOf(0, fade, { ...at, take: 1, fadeInFrames: fade }),
      ],
      [one, alike],
    )
    const powerOf = (samples: Float64Array) => samples.reduce((sum, x) => sum + x * x, 0) / samples.length
    const usual = powerOf(one)
    const errors = Array.from({ length: 20 }, (_, k) => {
      const part = sound.subarray((k * fade) / 20, ((k + 1) * fade) / 20)
      return 10 * Math.log10(powerOf(part) / usual)
    })
    return {
      where: `correlation ${r}`,
      value: errors.reduce((worst, error) => (Math.abs(error) > Math.abs(worst) ? error : worst), 0),
    }
  })
}

/** Samples of a take that differ after it was cut at a hundred places and left, behind all stages. */
function cutReadings(): Reading[] {
  const setups = (kinds: readonly Parameters<typeof stageOf>[0][]): StageSetup[] =>
    kinds.flatMap((kind) => stageOf(kind).setup ?? [])
  return RATES_HZ.map((sampleRateHz): Reading => {
    const frames = 3 * sampleRateHz
    const take = whiteNoise(frames, 5).map((x, i) => x * (Math.floor(i / 9000) % 2 === 0 ? 0.01 : 1))
    const random = createRandom(sampleRateHz)
    const cuts = Array.from({ length: 100 }, () => Math.floor(random.uniform() * frames))
    const heard = [null, cutAt(frames, cuts)].map((list) => {
      const layer = plannedLayer(1, 1, frames, {
        stages: setups(['expander']),
        offsetSamples: 77,
        gainDb: -1,
      })
      layer.take.sampleRateHz = sampleRateHz
      if (list !== null) layer.passages = { furtherTakes: [], list }
      const plan = planOf(frames + 100, {
        sampleRateHz,
        groups: [plannedGroup(1, { stages: setups(['de-ess', 'opto', 'ceiling']) })],
        layers: [layer],
      })
      const { groups, layers } = renderPlan(plan, () => takeInMemory([take]))
      return [...(groups.get(1) ?? []), ...(layers.get(1) ?? [])]
    })
    const differing = heard[0].reduce(
      (sum, channel, c) =>
        sum + channel.reduce((count, x, n) => count + Number(!Object.is(x, heard[1][c][n])), 0),
      0,
    )
    return { where: `${sampleRateHz / 1000} kHz`, value: heard[0].length === 3 ? differing : Number.NaN }
  })
}

export function measurePassages(): Figure {
  return {
    id: 'P4',
    title: 'Passages',
    plots: [],
    rows: [
      rowOf(
        'P4',
        'edges of random passages, fades from 2 ms on: what they have above 2 kHz, against the peak',
        LIMITS.edgeDb,
        edgeReadings(),
      ),
      rowOf(
        'P5',
        'fade of two noises by the law of their correlation: power',
        LIMITS.fadePowerDb,
        powerReadings(),
      ),
      rowOf(
        'P6',
        'a take cut at a hundred places and left, behind expander, de-ess, opto and ceiling',
        LIMITS.differingSamples,
        cutReadings(),
      ),
    ],
  }
}
