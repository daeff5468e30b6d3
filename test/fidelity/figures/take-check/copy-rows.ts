// The same performance in two takes: copies that were moved, turned and
// turned down, against takes that were sung anew.

import {
  createPrintComparer,
  exactLag,
  SAME_PERFORMANCE_RATIO,
} from '../../../../app/dsp/check/same-performance.ts'
import { LOOSE_DOUBLE_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../../app/dsp/voice/performance.ts'
import { addWhiteNoise, checkOf, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { movedCopy } from '../../../signals/planted-faults.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

const COMPARED_FRAMES = 2 ** 17
const MIDDLE = 4 * RATE_HZ
const TARGET = 'Takeloft’s own target'

const COPIES = [
  [731, 10 ** (-3 / 20), '-3 dB, 731 samples later'],
  [0, -0.5, 'polarity turned, -6 dB'],
  [-4801, 1, '4801 samples earlier'],
  [48_000, 0.1, '-20 dB, a second later'],
] as const

export function copyRows(): Row[] {
  const [singer] = SINGERS
  const take = Float64Array.from(songTake(singer, 1).samples)
  const { print, evidence } = checkOf(take)
  const comparer = createPrintComparer(print, evidence.phrases, 40_000)
  const part = (samples: Float64Array, from: number) => samples.subarray(from, from + COMPARED_FRAMES)

  const lags: Reading[] = []
  const ratios: Reading[] = []
  for (const [lag, gain, where] of COPIES) {
    const copy = addWhiteNoise(movedCopy(take, lag, gain), -80, 8)
    const [shared] = comparer.compare(checkOf(copy).print)
    const coarse = shared === undefined ? 0 : Math.round(shared.lagSeconds * RATE_HZ)
    const exact = exactLag(part(take, MIDDLE), part(copy, MIDDLE + coarse))
    lags.push({ where, value: shared === undefined ? Number.NaN : coarse + exact.lagFrames - lag })
    ratios.push({ where, value: exact.ratio })
  }

  const sungAnew = [
    ...[2, 3].map((seed) => ({
      where: `tight double ${seed}`,
      voice: songTake(singer, seed, { deviations: TIGHT_DOUBLE_DEVIATIONS }),
    })),
    { where: 'loose double', voice: songTake(singer, 4, { deviations: LOOSE_DOUBLE_DEVIATIONS }) },
    { where: 'another lead', voice: songTake(singer, 5) },
    { where: 'another song', voice: songTake({ ...SINGERS[1], tonicHz: singer.tonicHz }, 6) },
  ].map(({ where, voice }) => ({ where, samples: Float64Array.from(voice.samples) }))

  return [
    rowOf('T1', 'lag of copies, off by', limitOf({ low: 0, high: 0 }, 'samples', 0, TARGET), lags),
    rowOf(
      'T1',
      'copies: peak of the correlation over its median',
      limitOf({ low: SAME_PERFORMANCE_RATIO }, 'times', 0, TARGET),
      ratios,
    ),
    rowOf(
      'T1',
      'takes sung anew: the same',
      limitOf({ high: SAME_PERFORMANCE_RATIO / 2 }, 'times', 0, 'ours: half of the threshold of section 1.8'),
      sungAnew.map(({ where, samples }) => ({
        where,
        value: exactLag(part(take, MIDDLE), part(samples, MIDDLE)).ratio,
      })),
    ),
    rowOf(
      'T1',
      'takes sung anew that were called the same performance',
      limitOf({ high: 0 }, 'takes', 0, TARGET),
      sungAnew.map(({ where, samples }) => ({
        where,
        value: comparer.compare(checkOf(samples).print).length,
      })),
    ),
  ]
}
