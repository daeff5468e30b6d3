// The same performance in two takes: copies that were moved, turned and
// turned down, against takes that were sung anew.

import {
  createPrintComparer,
  exactLag,
  SAME_PERFORMANCE_RATIO,
} from '../../../../app/dsp/check/same-performance.ts'
import { LOOSE_DOUBLE_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../../app/dsp/voice/performance.ts'
import {
  addWhiteNoise,
  checkOf,
  RATE_HZ,
  SINGERS,
  songTake,
  throughFfmpeg,
} from '../../../signals/checking.ts'
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

/** What a copy may have gone through, with its delay in samples. */
const CHAINS = [
  [16, 'aresample=16000,aresample=48000', 'band to 8 kHz'],
  [480, 'aresample=8000,aresample=48000', 'band to 4 kHz'],
  [37, 'aresample=4000,aresample=48000', 'band to 2 kHz'],
  [
    1234,
    'highpass=f=100,equalizer=f=300:t=q:w=1.2:g=-6,acompressor=threshold=0.06:ratio=4:attack=10:release=200',
    'low-cut, bell, levelling',
  ],
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

  const changed = CHAINS.map(([lag, filters, where]) => {
    const copy = addWhiteNoise(throughFfmpeg(movedCopy(take, lag, -0.5), filters), -101, 9)
    const found = comparer.compare(checkOf(copy).print)
    const coarse = found.length === 1 ? Math.round(found[0].lagSeconds * RATE_HZ) : Number.NaN
    const exact = exactLag(part(take, MIDDLE), part(copy, MIDDLE + coarse))
    const isSure = exact.isInverted && exact.ratio > SAME_PERFORMANCE_RATIO
    return { where, value: isSure ? coarse + exact.lagFrames - lag : Number.NaN }
  })

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
      'lag of turned copies after band limits and a chain by FFmpeg, off by',
      limitOf({ low: 0, high: 0 }, 'samples', 0, TARGET),
      changed,
    ),
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
