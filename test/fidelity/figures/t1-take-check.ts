// The targets of the take check (DSP notes, section 1) on generated takes with planted faults.

import { addWhiteNoise, checkOf, phrasedTake, RATE_HZ, SINGERS, songTake } from '../../signals/checking.ts'

import { type Figure, limitOf, type Reading, rowOf } from '../rows.ts'

const PAD_BEFORE_SECONDS = 0.06
const NO_ROOM = { room: { reflections: [], noiseFloorDbfs: -120 } }
const HUM = [1, 0.5, 0.7, 0.2, 0.4, 0.1, 0.2, 0.1]

const quantile = (values: readonly number[], share: number): number =>
  values.toSorted((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))]

function floorErrors(): Reading[] {
  return SINGERS.flatMap((singer, i) => {
    const { samples } = songTake(singer, 3 + i, NO_ROOM)
    return [-70, -60, -50, -45].map((levelDbfs) => {
      const { floorDbfs } = checkOf(addWhiteNoise(Float64Array.from(samples), levelDbfs, 5)).evidence
      return { where: `${singer.name}, ${levelDbfs} dBFS`, value: (floorDbfs ?? 0) - levelDbfs }
    })
  })
}

/** Share of planted families that were not found, and how far the found ones are off. */
function humReadings(): { missed: Reading; off: Reading[] } {
  let missed = 0
  let planted = 0
  const off: Reading[] = []
  for (const singer of SINGERS) {
    const { samples } = songTake(singer, 3)
    for (const fundamentalHz of [49.9, 50.1, 60]) {
      planted++
      const gain = 10 ** (-55 / 20) / Math.sqrt(HUM.reduce((sum, one) => sum + one ** 2 / 2, 0))
      const take = Float64Array.from(samples, (sample, n) => {
        let hum = 0
        for (const [k, one] of HUM.entries())
          hum += one * Math.sin((2 * Math.PI * fundamentalHz * (k + 1) * n) / RATE_HZ + k)
        return sample + gain * hum
      })
      const family = checkOf(take).evidence.hum
      if (family === null) missed++
      else
        off.push({
          where: `${singer.name}, ${fundamentalHz} Hz`,
          value: family.fundamentalHz / fundamentalHz - 1,
        })
    }
  }
  return {
    missed: { where: `${missed} of ${planted}`, value: (100 * missed) / planted },
    off: off.map(({ where, value }) => ({ where, value: 100 * value })),
  }
}

function polarityErrors(): Reading {
  const takes = SINGERS.map((singer) => Float64Array.from(songTake(singer, 2).samples))
  const wrong = takes.filter(
    (take) =>
      checkOf(take).evidence.polarity.verdict === 'inverted' ||
      checkOf(take.map((sample) => -sample)).evidence.polarity.verdict === 'positive',
  )
  return { where: `${takes.length} takes, both ways round`, value: wrong.length }
}

function phraseErrorsMs(breath: boolean): number[] {
  return SINGERS.flatMap((singer, i) => {
    const { samples, truth } = phrasedTake(singer, i + 2, breath, {
      room: { reflections: [], noiseFloorDbfs: -70 },
    })
    const { phrases } = checkOf(samples).evidence
    return Array.from({ length: 12 }, (_, p) => {
      const syllables = truth.syllables.filter(({ phraseIndex }) => phraseIndex === p)
      const start = syllables[0].consonantStartSeconds
      const end = syllables[syllables.length - 1].endSeconds
      const found = phrases.find(({ fromS, toS }) => fromS < end && toS > start)
      return found === undefined
        ? Number.POSITIVE_INFINITY
        : 1000 * Math.abs(found.fromS + PAD_BEFORE_SECONDS - start)
    })
  })
}

const target = (section: string): string => `target of the DSP notes, section ${section}`

export function measureTakeCheck(): Figure {
  const hum = humReadings()
  const clear = phraseErrorsMs(false)
  const breathed = phraseErrorsMs(true)
  const explained = 'ours: where a breath runs into a soft consonant nobody could say to 40 ms where it ends'
  const at = (where: string, value: number): Reading[] => [{ where, value }]
  return {
    id: 'T1',
    title: 'Take check',
    plots: [],
    rows: [
      rowOf(
        'T1',
        'noise floor found less the planted one',
        limitOf({ low: -1, high: 1 }, 'dB', 2, target('1.3')),
        floorErrors(),
      ),
      rowOf(
        'T1',
        'planted hum families at -55 dBFS that were missed',
        limitOf({ high: 0 }, '%', 0, target('1.4')),
        [hum.missed],
      ),
      rowOf(
        'T1',
        'their fundamental, off by',
        limitOf({ low: -0.1, high: 0.1 }, '%', 3, target('1.4')),
        hum.off,
      ),
      rowOf('T1', 'takes whose polarity was told wrong', limitOf({ high: 0 }, 'takes', 0, target('1.7')), [
        polarityErrors(),
      ]),
      rowOf(
        'T1',
        'phrase onsets without breaths, median',
        limitOf({ high: 15 }, 'ms', 1, target('1.6')),
        at('36 phrases', quantile(clear, 0.5)),
      ),
      rowOf(
        'T1',
        'the same, 95 %',
        limitOf({ high: 40 }, 'ms', 1, target('1.6')),
        at('36 phrases', quantile(clear, 0.95)),
      ),
      rowOf(
        'T1',
        'phrase onsets after breaths, median',
        limitOf({ high: 20 }, 'ms', 1, explained),
        at('36 phrases', quantile(breathed, 0.5)),
      ),
      rowOf(
        'T1',
        'the same, 95 %',
        limitOf({ high: 60 }, 'ms', 1, explained),
        at('36 phrases', quantile(breathed, 0.95)),
      ),
    ],
  }
}
