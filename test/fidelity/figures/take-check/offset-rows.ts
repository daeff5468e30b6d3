// DC: offsets that were planted, takes that only look lopsided, and what
// the low-cut leaves of one.

import { createTakeMeter } from '../../../../app/dsp/meters/take-meter.ts'
import { checkOf, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { feed } from '../../../signals/tones.ts'
import { throughStage } from '../../../signals/voice-takes.ts'
import { db, limitOf, type Row, rowOf } from '../../rows.ts'

const TARGET = 'Takeloft’s own target'

function dcOffset(samples: Float64Array): number {
  const meter = createTakeMeter({ sampleRateHz: RATE_HZ, channels: 1 })
  feed(meter.add, [samples])
  return meter.facts().channelDcOffsets[0]
}

const mean = (samples: Float64Array): number => samples.reduce((sum, x) => sum + x, 0) / samples.length

export function offsetRows(): Row[] {
  const takes = SINGERS.map((singer) => ({
    name: singer.name,
    samples: Float64Array.from(songTake(singer, 2).samples),
  }))
  const planted = takes.flatMap(({ name, samples }) =>
    [-50, -40, -30].map((levelDb) => {
      // The voice's own mean is taken out first, so that what is planted is all there is.
      const own = mean(samples)
      const take = samples.map((x) => x - own + 10 ** (levelDb / 20))
      return { where: `${name}, ${levelDb} dBFS`, take, levelDb }
    }),
  )
  return [
    rowOf(
      'T1',
      'planted DC found, less what was planted',
      limitOf({ low: -0.1, high: 0.1 }, 'dB', 3, 'ours: a mean of a whole take is exact but for rounding'),
      planted.map(({ where, take, levelDb }) => ({ where, value: db(Math.abs(dcOffset(take))) - levelDb })),
    ),
    rowOf(
      'T1',
      'takes of lopsided voices that were called offset',
      limitOf({ high: 0 }, 'takes', 0, 'Takeloft’s own target: asymmetry is not DC'),
      takes.map(({ name, samples }) => ({
        where: name,
        value: checkOf(samples).findings.filter(({ kind }) => kind === 'dc-offset').length,
      })),
    ),
    rowOf(
      'T1',
      'DC left behind a low-cut at 40 Hz, of -30 dBFS',
      limitOf({ high: -90 }, 'dBFS', 1, TARGET),
      takes.map(({ name, samples }) => {
        const offset = samples.map((x) => x + 10 ** (-30 / 20))
        const cut = throughStage(offset, {
          kind: 'low-cut',
          settings: { frequencyHz: 40, slopeDbPerOctave: 12 },
        })
        // From a second on, when the step of the first sample has rung out.
        return { where: name, value: db(Math.abs(mean(cut.samples.subarray(RATE_HZ)))) }
      }),
    ),
  ]
}
