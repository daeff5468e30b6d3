// Clipping: runs cut at a limit and scaled down afterwards, and clean
// sounds at full scale, in 16 and 24 bits; real voices that were cut and then went through something.

import { ClippedRuns } from '../../../../app/dsp/meters/clipped-runs.ts'
import { RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { AFTER_CLIPPING, clippedBy, runsAtLimit } from '../../../signals/planted-faults.ts'
import { feed, quantised, tone } from '../../../signals/tones.ts'
import { type Limit, limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, SPEECH_MISSING, speechOf, VOICES } from '../../speech.ts'

const TARGET = 'Takeloft’s own target'

function clippedRunsOf(signal: Float64Array, rateHz = RATE_HZ): ClippedRuns {
  const runs = new ClippedRuns(rateHz)
  feed(([samples], frames) => runs.add(samples, frames), [signal], 4096)
  return runs
}

const cutVoice = (voice: Float64Array, low: number, high: number): Float64Array =>
  voice.map((sample) => Math.max(low, Math.min(high, sample)) * 10 ** (-10 / 20))

/** Share of planted runs of four samples and more that lie in a place found, in percent. */
function recalls(voices: readonly Float64Array[]): Reading[] {
  return [0, -3, -6].flatMap((limitDbfs) =>
    [true, false].flatMap((bothSides) =>
      [16, 24].map((bits) => {
        const high = 10 ** (limitDbfs / 20)
        const low = bothSides ? -high : -100
        let planted = 0
        let found = 0
        for (const voice of voices) {
          const starts = runsAtLimit(voice, low, high)
          const places = clippedRunsOf(quantised(cutVoice(voice, low, high), bits)).places()
          planted += starts.length
          found += starts.filter((at) => places.some(({ fromS, toS }) => at >= fromS && at <= toS)).length
        }
        return {
          where: `${found} of ${planted}, ${limitDbfs} dBFS, ${bothSides ? 'both sides' : 'one side'}, ${bits} bit`,
          value: (100 * found) / planted,
        }
      }),
    ),
  )
}

function falseAlarms(voices: readonly Float64Array[]): Reading[] {
  const tones = [50, 100, 1000].map((hz) => ({
    name: `${hz} Hz`,
    samples: tone(5 * RATE_HZ, RATE_HZ, hz, 1),
  }))
  const clean = voices.map((voice, i) => {
    const greatest = voice.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
    return { name: `voice ${i + 1}`, samples: voice.map((sample) => (sample / greatest) * 0.9999) }
  })
  return [...tones, ...clean].flatMap(({ name, samples }) =>
    [16, 24].map((bits) => ({
      where: `${name}, ${(samples.length / RATE_HZ).toFixed(0)} s, ${bits} bit`,
      value: clippedRunsOf(quantised(samples, bits)).count(),
    })),
  )
}

/** Real voices, the first seconds of each: cut by 6 dB and then changed, and changed alone. */
function rowsAfter(): Row[] {
  const source =
    'ours: all of them; amplitude histogram and shape after Laguna and Lerch (AES 141, 2016, abstract)'
  const missed = 'real voices cut by 6 dB, then changed: not found as clipped'
  const alarms = 'the same voices, changed but not cut: called clipped'
  const limit: Limit = limitOf({ high: 0 }, 'takes', 0, source)
  const voices = Object.entries(VOICES).filter(([, paths]) => paths.length > 0)
  if (!haveSpeech || voices.length === 0)
    return [missed, alarms].map((what) => missingRow('T1', what, limit, SPEECH_MISSING))
  const readings = (depthDb: number | null): Reading[] =>
    voices.flatMap(([name, paths]) => {
      const voice = speechOf(paths.slice(0, 20)).subarray(0, 10 * RATE_HZ)
      return Object.entries(AFTER_CLIPPING).map(([after, change]) => {
        const [take, rateHz] = change(depthDb === null ? voice : clippedBy(voice, depthDb))
        const isFound = clippedRunsOf(take, rateHz).count() > 0
        return { where: `${name}, ${after}`, value: isFound === (depthDb === null) ? 1 : 0 }
      })
    })
  return [rowOf('T1', missed, limit, readings(6)), rowOf('T1', alarms, limit, readings(null))]
}

export function clippingRows(): Row[] {
  const loud = SINGERS.map((singer) => Float64Array.from(songTake(singer, 3, { peakDbfs: 6 }).samples))
  const more = SINGERS.map((singer) => Float64Array.from(songTake(singer, 9).samples))
  return [
    rowOf(
      'T1',
      'clipped runs, scaled down by 10 dB, that were found',
      limitOf({ low: 95 }, '%', 1, TARGET),
      recalls(loud),
    ),
    rowOf(
      'T1',
      'clipped runs found in clean voice and clean tones at full scale',
      limitOf({ high: 0 }, 'runs', 0, TARGET),
      falseAlarms([...loud, ...more]),
    ),
    ...rowsAfter(),
  ]
}
