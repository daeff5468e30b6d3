// Clicks: the gap filled against what was there.

import { fillGap, gapReach } from '../../../../app/dsp/repair/fill-gap.ts'
import { announcements, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import {
  changedOutside,
  dbOfPower,
  loudMoments,
  mended,
  middleOf,
  sampleClicks,
  voicedMoments,
} from '../../../signals/mending.ts'
import { limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, SPEECH_MISSING } from '../../speech.ts'

interface Voice {
  readonly name: string
  readonly samples: Float64Array
  readonly moments: readonly number[]
}

function voices(): Voice[] {
  return SINGERS.map((singer) => {
    const { samples, truth } = songTake(singer, 3)
    return { name: singer.name, samples: Float64Array.from(samples), moments: voicedMoments(truth.f0, 97) }
  })
}

/** Signal to error in the gap, dB, of each moment that is not refused. */
function gains({ samples, moments }: Voice, gapMs: number): number[] {
  const gap = Math.round((gapMs * RATE_HZ) / 1000)
  const reach = gapReach(gap, RATE_HZ)
  const found: number[] = []
  for (const moment of moments) {
    if (moment < reach || moment + gap + reach > samples.length) continue
    const around = samples.slice(moment - reach, moment + gap + reach)
    around.fill(0.3, reach, reach + gap)
    if (!fillGap(around, reach, reach + gap, RATE_HZ)) continue
    let signal = 0
    let error = 0
    for (let n = 0; n < gap; n++) {
      signal += samples[moment + n] ** 2
      error += (samples[moment + n] - around[reach + n]) ** 2
    }
    found.push(dbOfPower(signal / error))
  }
  return found
}

export async function clickRows(): Promise<Row[]> {
  const all = [...voices()]
  if (haveSpeech) {
    const samples = announcements()
    all.push({ name: 'speech of alsa-utils', samples, moments: loudMoments(samples, 1777) })
  }
  const row = (id: string, what: string, least: number, gapsMs: readonly number[], source: string): Row =>
    rowOf(
      id,
      what,
      limitOf({ low: least }, 'dB', 1, source),
      all.flatMap((voice) =>
        gapsMs.map(
          (ms): Reading => ({ where: `${voice.name}, ${ms} ms`, value: middleOf(gains(voice, ms)) }),
        ),
      ),
    )
  const method = 'figure P18 of the product; Janssen, Veldhuis and Vries 1986'
  const planted = await Promise.all(
    all.map(async ({ name, samples }) => {
      const { take, frames } = sampleClicks(samples, -6)
      const done = await mended([take], ['clicks'])
      let before = 0
      let after = 0
      for (const frame of frames) {
        before += (take[frame] - samples[frame]) ** 2
        after += (done.out[0][frame] - samples[frame]) ** 2
      }
      return {
        name,
        share: (100 * done.report.repairs.length) / frames.length,
        fallDb: dbOfPower(before / after),
        outside: changedOutside(done),
      }
    }),
  )
  return [
    row('P18', 'filled gap of 0.5 ms in the voice, signal to error, median', 18, [0.5], method),
    row('P18', 'filled gap of 1 ms in the voice, signal to error, median', 12, [1], method),
    row(
      'P19',
      'filled gaps of 2 to 8 ms, where they are not refused, median',
      12,
      [2, 4, 8],
      'figure P19 of the product',
    ),
    rowOf(
      'P18',
      'planted clicks of one sample, -6 dBFS, that are mended',
      limitOf({ low: 90 }, '%', 1, 'ours: clicks under the edges of the voice are masked'),
      planted.map(({ name, share }) => ({ where: name, value: share })),
    ),
    ...(haveSpeech
      ? []
      : [
          missingRow('P18', 'the same in real speech', limitOf({ low: 18 }, 'dB', 1, method), SPEECH_MISSING),
        ]),
    rowOf(
      'P24',
      'samples changed outside of mended clicks',
      limitOf({ high: 0 }, 'samples', 0, 'bit by bit'),
      planted.map(({ name, outside }) => ({ where: name, value: outside })),
    ),
  ]
}
