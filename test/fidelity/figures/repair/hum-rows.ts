// Hum: what is left of it in the pauses, and what is done to the voice.

import { addWhiteNoise, checkOf, phrasedTake, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { dbOfPower, driftingHum, mended } from '../../../signals/mending.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

interface Left {
  readonly where: string
  readonly inPausesDb: number
  readonly underVoiceDb: number
}

async function leftOf(driftHz: number): Promise<Left[]> {
  const takes = [
    ...SINGERS.map((singer) => ({ name: singer.name, samples: songTake(singer, 3).samples })),
    { name: 'phrases of the rap baritone', samples: phrasedTake(SINGERS[0], 2, true).samples },
  ]
  const left: Left[] = []
  for (const { name, samples } of takes) {
    const clean = Float64Array.from(samples)
    const hum = driftingHum(clean.length, 50, driftHz, -45)
    const [out] = (await mended([clean.map((sample, n) => sample + hum[n])], ['hum'])).out
    const { isPause, frameSeconds } = checkOf(clean).levels
    const sums = { pauseError: 0, pauseHum: 0, error: 0, voice: 0 }
    for (let n = 0; n < clean.length; n++) {
      const error = (out[n] - clean[n]) ** 2
      if (isPause[Math.floor(n / RATE_HZ / frameSeconds)] === 1) {
        sums.pauseError += error
        sums.pauseHum += hum[n] ** 2
      } else {
        sums.error += error
        sums.voice += clean[n] ** 2
      }
    }
    left.push({
      where: name,
      inPausesDb: dbOfPower(sums.pauseError / sums.pauseHum),
      underVoiceDb: dbOfPower(sums.error / sums.voice),
    })
  }
  return left
}

/** Repairs of takes in which no hum of the mains is: a voice alone, and a hum of 50.3 Hz under a voice at 100 Hz. */
async function wronglyMended(): Promise<Reading[]> {
  const readings: Reading[] = []
  for (const singer of SINGERS) {
    const { report } = await mended([Float64Array.from(songTake(singer, 3).samples)], ['hum'])
    readings.push({ where: singer.name, value: report.repairs.length })
  }
  const low = Float64Array.from(phrasedTake({ ...SINGERS[0], tonicHz: 100 }, 2, false).samples)
  const hum = driftingHum(low.length, 50.3, 0, -45)
  const { report } = await mended(
    [
      addWhiteNoise(
        low.map((sample, n) => sample + hum[n]),
        -75,
        1,
      ),
    ],
    ['hum'],
  )
  readings.push({ where: '50.3 Hz under a voice at 100 Hz', value: report.repairs.length })
  return readings
}

export async function humRows(): Promise<Row[]> {
  const steady = await leftOf(0)
  const drifting = await leftOf(0.1)
  const inPauses = (left: readonly Left[]) =>
    left.map(({ where, inPausesDb }) => ({ where, value: inPausesDb }))
  const source = 'figure P22 of the product'
  return [
    rowOf(
      'P22',
      'steady hum, what is left in the pauses',
      limitOf({ high: -25 }, 'dB', 1, source),
      inPauses(steady),
    ),
    rowOf(
      'P22',
      'hum that drifts by 0.1 Hz, what is left in the pauses',
      limitOf(
        { high: -17 },
        'dB',
        1,
        'short of figure P22 (-20 dB in 30 s): takes of 14 s drift twice as fast, and the first and last 2 s of phase are extrapolated',
      ),
      inPauses(drifting),
    ),
    rowOf(
      'P22',
      'error under the voice, re the voice',
      limitOf({ high: -35 }, 'dB', 1, source),
      [...steady, ...drifting].map(({ where, underVoiceDb }) => ({ where, value: underVoiceDb })),
    ),
    rowOf(
      'P22',
      'hum mended where no mains hum is',
      limitOf({ high: 0 }, 'repairs', 0, source),
      await wronglyMended(),
    ),
  ]
}
