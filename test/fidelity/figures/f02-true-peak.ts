// F2: the true-peak meter on the signals of EBU Tech 3341, beside others' meters and beside
// ideal interpolation on real speech.

import { createTruePeakMeter } from '../../../app/dsp/meters/true-peak.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { insertedPeriodCase, missedPeakCase } from '../../signals/standards.ts'
import { feed, tone } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { withOutsideMeters } from '../outside-meters.ts'
import { evenAxis } from '../plot.ts'
import { firstNumber, readReferenceTable, toleranceOf } from '../reference-table.ts'
import { db, type Figure, limitOf, missingRow, type Row, rowOf } from '../rows.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../speech.ts'

const RATES_HZ = [44_100, 48_000, 96_000]

function truePeakDbtp(channels: readonly Float64Array[], sampleRateHz: number): number {
  const meter = createTruePeakMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels)
  return meter.truePeakDbtp() ?? Number.NaN
}

function signalOf(number: number, rate: number): Float64Array[] | null {
  switch (number) {
    case 15:
    case 16:
    case 17:
    case 18:
    case 19:
      return missedPeakCase(number, rate)
    case 20:
    case 21:
    case 22:
    case 23:
      return insertedPeriodCase(number, rate)
    default:
      return null
  }
}

function rowsOfTech3341(): Row[] {
  const { source, rows } = readReferenceTable('ebu-tech3341-cases.csv')
  return rows.flatMap((row): Row[] => {
    const number = Number(row.case)
    const readings = RATES_HZ.flatMap((rate) => {
      const signal = signalOf(number, rate)
      if (signal === null) return []
      return [{ where: `${rate / 1000} kHz`, value: truePeakDbtp(signal, rate) - firstNumber(row.expected) }]
    })
    if (readings.length === 0) return []
    const limit = limitOf(toleranceOf(row.tolerance_dB_or_LU), 'dB', 3, source.split(';')[0])
    return [rowOf('F2', `Tech 3341 case ${number}: ${row.expected}`, limit, readings)]
  })
}

function rowsOnSpeech(): Row[] {
  const what = (name: string) => `true peak of real speech less that of ${name}`
  const limit = LIMITS.truePeakAgainstOthersDb
  const ideal = 'ideal interpolation, 16 times'
  if (!haveSpeech) return [missingRow('F2', what(ideal), limit, SPEECH_MISSING)]
  const readings = RATES_HZ.map((rate) => ({
    where: `${rate / 1000} kHz`,
    value: truePeakDbtp([speech(rate)], rate) - db(oversampledPeak(speech(rate))),
  }))
  const rows = [rowOf('F2', what(ideal), limit, readings)]
  withOutsideMeters((meters, missing) => {
    for (const name of missing)
      rows.push(missingRow('F2', what(name), limit, `${name} is not on this machine`))
    for (const { name, read } of meters) {
      rows.push(
        rowOf(
          'F2',
          what(name),
          limit,
          RATES_HZ.map((rate) => ({
            where: `${rate / 1000} kHz`,
            value: truePeakDbtp([speech(rate)], rate) - read([speech(rate)], rate).truePeakDbtp,
          })),
        ),
      )
    }
  })
  return rows
}

/** The greatest and least reading of a sine over its phase, across frequency. */
function readingOverFrequency() {
  const rate = 48_000
  const frequencies = Array.from({ length: 47 }, (_, i) => 250 + 500 * i)
  const under = frequencies.map((frequencyHz) => {
    const errors = [0, 30, 45, 60, 90].map((phase) => {
      const sine = tone(9600, rate, frequencyHz, 0.5, phase)
      for (let n = 0; n < 2400; n++) {
        const fade = 0.5 - 0.5 * Math.cos((Math.PI * n) / 2400)
        sine[n] *= fade
        sine[sine.length - 1 - n] *= fade
      }
      return truePeakDbtp([sine], rate) - db(0.5)
    })
    return Math.min(...errors)
  })
  // BS.1770-5 Annex 2 Attachment 1, for the 8 times that this meter uses at 48 kHz.
  const allowed = frequencies.map((frequencyHz) => db(Math.cos((Math.PI * frequencyHz) / rate / 8)))
  return { frequencies, under, allowed }
}

export function measureTruePeak(): Figure {
  const { frequencies, under, allowed } = readingOverFrequency()
  return {
    id: 'F2',
    title: 'True-peak meter',
    rows: [...rowsOfTech3341(), ...rowsOnSpeech()],
    plots: [
      {
        title: 'What the meter misses of a sine',
        caption:
          'Lowest reading over five phases less the true peak, 48 kHz, against the bound of BS.1770-5 Annex 2 Attachment 1 for 8 times.',
        x: evenAxis('frequency, Hz', 0, 24_000, 4000),
        y: evenAxis('reading less true peak, dB', -1, 0.2, 0.2),
        curves: [
          { name: 'measured', xs: frequencies, ys: under, kind: 'line', colour: 'accent' },
          { name: 'bound at 8 times', xs: frequencies, ys: allowed, kind: 'dashed', colour: 'soft' },
        ],
      },
    ],
  }
}
