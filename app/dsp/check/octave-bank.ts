// The take at a half, a quarter and so on of its rate, for the searches that need no more:
// polarity near 12 kHz, pops and hum near 3 kHz, the print near 1.5 kHz. The filters have
// linear phase, so that pulses keep their shape; each rate states its delay, so that the
// searches can subtract it from their times.

import { designHalfBand, type HalfBand, halveRate, halvingHistory } from '../filters/half-band.ts'

/** One rate of the bank. */
interface BankRate {
  readonly rateHz: number
  /** Samples of the take per sample here. */
  readonly factor: number
  /** Delay of a sample here, in samples of the take. */
  readonly delayFrames: number
  /** The last block: `blockFrames / factor` samples from `from` on. */
  readonly samples: Float64Array
  readonly from: number
}

interface OctaveBank {
  /** Near 12 kHz (8 to 22 kHz), near 3 kHz (2.7 to 5.4 kHz) and half of that. */
  readonly speech: BankRate
  readonly low: BankRate
  readonly print: BankRate
  /** Takes exactly `blockFrames` samples from `from` on. */
  add(samples: Float64Array, from: number): void
}

/** Lowest values of the rates; the next halving would fall below them. */
const SPEECH_FROM_HZ = 11_000
const LOW_FROM_HZ = 2700
/** Aliases this far down affect none of the measurements. */
const STOP_BAND_DB = 70
/** Upper end of a kept rate's pass band, as a share of that rate: 0.8 of half of it. */
const KEPT_PASS_HALF = 0.4

interface Halving {
  readonly filter: HalfBand
  readonly input: Float64Array
  readonly history: number
  readonly inputFrames: number
}

/** @param blockFrames a multiple of 2 to the number of halvings (128 is enough up to 192 kHz) */
export function createOctaveBank(sampleRateHz: number, blockFrames: number): OctaveBank {
  const speechHalvings = halvingsTo(SPEECH_FROM_HZ, sampleRateHz)
  const lowHalvings = halvingsTo(LOW_FROM_HZ, sampleRateHz)
  const kept = [speechHalvings, lowHalvings, lowHalvings + 1]
  const halvings: Halving[] = []
  for (let h = 0; h <= lowHalvings; h++) {
    // The next kept rate decides how much of the band has to stay free of aliases until then.
    const aim = kept.find((count) => count > h)!
    const filter = designHalfBand(KEPT_PASS_HALF / 2 ** (aim - h), STOP_BAND_DB)
    const history = halvingHistory(filter)
    const inputFrames = blockFrames / 2 ** h
    halvings.push({ filter, history, inputFrames, input: new Float64Array(history + inputFrames) })
  }
  const output = new Float64Array(blockFrames / 2 ** (lowHalvings + 1))
  const whole = new Float64Array(blockFrames)

  const rateAt = (count: number): BankRate => {
    const next = halvings[count]
    const samples = count === 0 ? whole : (next?.input ?? output)
    return {
      rateHz: sampleRateHz / 2 ** count,
      factor: 2 ** count,
      delayFrames: halvings
        .slice(0, count)
        .reduce((sum, { filter }, h) => sum + filter.delaySamples * 2 ** h, 0),
      samples,
      from: count === 0 || next === undefined ? 0 : next.history,
    }
  }

  return {
    speech: rateAt(speechHalvings),
    low: rateAt(lowHalvings),
    print: rateAt(lowHalvings + 1),
    add(samples, from) {
      if (speechHalvings === 0) whole.set(samples.subarray(from, from + blockFrames))
      for (const [h, { filter, input, history, inputFrames }] of halvings.entries()) {
        if (h === 0) {
          input.copyWithin(0, inputFrames)
          input.set(samples.subarray(from, from + blockFrames), history)
        }
        const next = halvings[h + 1]
        if (next === undefined) halveRate(filter, input, history, inputFrames / 2, output, 0)
        else {
          next.input.copyWithin(0, next.inputFrames)
          halveRate(filter, input, history, next.inputFrames, next.input, next.history)
        }
      }
    },
  }
}

function halvingsTo(lowestHz: number, sampleRateHz: number): number {
  return Math.max(0, Math.floor(Math.log2(sampleRateHz / lowestHz)))
}
