// What the stack loses when its sides are summed to mono, by band, and through which layers. The energy that is lost
// is divided by the layers' halves of the cross terms, so that the parts add up to the loss.

import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'
import { dbFromPower } from '../maths/decibels.ts'
import { CANCELLED, energyOf, type Gram, type StackGram } from './gram.ts'

/** One third octave. */
export interface MonoLossBand {
  readonly nominalHz: number
  /** (left + right) / sqrt 2 over both sides: 0 dB for equal sides, -3.0 dB for unrelated ones. */
  readonly lossDb: number
  /** Share of the energy of both sides over all bands. */
  readonly share: number
  /** How much of the stack's energy each layer loses; they add up to what is lost, below 0 where it gains. */
  readonly lost: Float64Array
}

/** A band below the limit, with the layers that lose most. */
export interface FoundMonoLoss {
  readonly layers: readonly number[]
  readonly nominalHz: number
  readonly lossDb: number
  /** Share of both sides' energy in the bands that are lost with it. */
  readonly share: number
  /** The bands that are below the limit as well, next to it. */
  readonly fromHz: number
  readonly toHz: number
}

/** Unrelated sides lose 3 dB; a band with more than a hundredth of the energy that loses this much cancels. */
const LOSS_DB = -4.5
const LEAST_SHARE = 0.01
/** A layer is named if it has this share of what is lost. */
const NAMED_SHARE = 0.15

/** Every band that sounds. */
export function monoLosses({ sides, mono }: StackGram): MonoLossBand[] {
  const energies = THIRD_OCTAVES.map((_, b) => Math.max(0, energyOf(sides, b)))
  const all = energies.reduce((sum, one) => sum + one, 0)
  return THIRD_OCTAVES.flatMap(({ nominalHz }, b) => {
    if (!(energies[b] > 0)) return []
    const ratio = energyOf(mono, b) / energies[b]
    return [
      {
        nominalHz,
        lossDb: dbFromPower(Math.max(ratio, CANCELLED)),
        share: energies[b] / all,
        lost: lostOf(sides, mono, b, energies[b]),
      },
    ]
  })
}

function lostOf(sides: Gram, mono: Gram, band: number, energy: number): Float64Array {
  const { layers } = sides
  const lost = new Float64Array(layers)
  for (let k = 0; k < layers; k++) {
    for (let l = 0; l < layers; l++) {
      lost[k] += sides.products[band][k * layers + l] - mono.products[band][k * layers + l]
    }
    lost[k] /= energy
  }
  return lost
}

/** Neighbouring bands that lose too much, as one finding each, worst first. */
export function findMonoLoss(bands: readonly MonoLossBand[]): FoundMonoLoss[] {
  const runs: MonoLossBand[][] = []
  let isOpen = false
  for (const band of bands) {
    const isLost = band.lossDb < LOSS_DB && band.share > LEAST_SHARE
    if (isLost && isOpen) runs.at(-1)!.push(band)
    else if (isLost) runs.push([band])
    isOpen = isLost
  }
  return runs
    .map((run) => {
      const worst = run.reduce((a, b) => (b.lossDb < a.lossDb ? b : a))
      const lost = Array.from(worst.lost, (_, k) =>
        run.reduce((sum, one) => sum + one.share * one.lost[k], 0),
      )
      const whole = lost.reduce((sum, one) => sum + Math.max(0, one), 0)
      return {
        layers: lost
          .map((one, k) => ({ one, k }))
          .filter(({ one }) => one > NAMED_SHARE * whole)
          .sort((a, b) => b.one - a.one)
          .map(({ k }) => k),
        nominalHz: worst.nominalHz,
        lossDb: worst.lossDb,
        share: run.reduce((sum, one) => sum + one.share, 0),
        fromHz: run[0].nominalHz,
        toHz: run.at(-1)!.nominalHz,
      }
    })
    .sort((a, b) => a.lossDb - b.lossDb)
}
