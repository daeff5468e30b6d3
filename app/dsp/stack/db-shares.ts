// How many dB of a stack's build-up over its lead each layer is answerable for: the Shapley value of
// 10 log10 E(lead + S) over all sets S of the other layers. The values add up to the build-up; what the stack
// loses when one layer is left out does not.
// Source: Shapley, "A value for n-person games", 1953; sampled orders as in Castro, Gómez and Tejada, "Polynomial
// calculation of the Shapley value based on sampling", 2009.

import { dbFromPower } from '../maths/decibels.ts'
import { createRandom } from '../maths/random.ts'
import { CANCELLED, type Gram } from './gram.ts'

/** Up to this many layers besides the lead, all sets are counted; with more, orders are drawn. */
const EXACT_LAYERS = 11
const ORDERS = 128
const SEED = 8

/** dB for each layer; 0 for the lead. */
export interface DbShares {
  readonly shares: Float64Array
  /** Greatest standard error of a share, in dB; 0 where all sets were counted. The sum is exact in any case. */
  readonly standardErrorDb: number
}

/** @returns null where the lead is silent in the band */
export function dbShares(gram: Gram, band: number, isLead: readonly boolean[]): DbShares | null {
  const game = gameOf(gram, band, isLead)
  if (game === null) return null
  return game.players.length <= EXACT_LAYERS
    ? countedShares(gram.layers, game)
    : drawnShares(gram.layers, game)
}

interface Game {
  /** Layers besides the lead that sound in the band. */
  readonly players: readonly number[]
  readonly leadEnergy: number
  /** Product of each player with the lead. */
  readonly withLead: Float64Array
  /** Products of the players with one another. */
  readonly products: Float64Array
  readonly least: number
}

function gameOf({ layers, products }: Gram, band: number, isLead: readonly boolean[]): Game | null {
  const row = products[band]
  const leads = isLead.flatMap((lead, k) => (lead ? [k] : []))
  const players = isLead.flatMap((lead, k) => (!lead && row[k * layers + k] > 0 ? [k] : []))
  let leadEnergy = 0
  let parts = 0
  for (const k of leads) for (const l of leads) leadEnergy += row[k * layers + l]
  for (let k = 0; k < layers; k++) parts += row[k * layers + k]
  if (!(leadEnergy > parts * CANCELLED)) return null
  const withLead = Float64Array.from(players, (k) => leads.reduce((sum, l) => sum + row[k * layers + l], 0))
  const between = Float64Array.from(
    { length: players.length ** 2 },
    (_, i) => row[players[Math.floor(i / players.length)] * layers + players[i % players.length]],
  )
  return { players, leadEnergy, withLead, products: between, least: parts * CANCELLED }
}

/** What a player adds to the energy of the lead and the players in the sum. @param inSum with its products */
const addedEnergy = ({ players, withLead, products }: Game, p: number, inSum: number): number =>
  products[p * players.length + p] + 2 * (withLead[p] + inSum)

function countedShares(layers: number, game: Game): DbShares {
  const { players, leadEnergy, products, least } = game
  const m = players.length
  const sets = 2 ** m
  const energies = new Float64Array(sets)
  energies[0] = leadEnergy
  for (let set = 1; set < sets; set++) {
    const p = 31 - Math.clz32(set)
    const before = set ^ (1 << p)
    let cross = 0
    for (let q = 0; q < p; q++) if ((before >> q) & 1) cross += products[p * m + q]
    energies[set] = energies[before] + addedEnergy(game, p, cross)
  }
  const levels = energies.map((energy) => dbFromPower(Math.max(energy, least)))
  const weights = weightsOf(m)
  const shares = new Float64Array(layers)
  for (let set = 0; set < sets; set++) {
    const weight = weights[countOf(set)]
    for (let p = 0; p < m; p++) {
      if (((set >> p) & 1) === 0) shares[players[p]] += weight * (levels[set | (1 << p)] - levels[set])
    }
  }
  return { shares, standardErrorDb: 0 }
}

/** s! (m - s - 1)! / m! for each size s of a set without the player. */
function weightsOf(m: number): Float64Array {
  const weights = new Float64Array(Math.max(1, m))
  weights[0] = 1 / Math.max(1, m)
  for (let s = 1; s < m; s++) weights[s] = (weights[s - 1] * s) / (m - s)
  return weights
}

function countOf(set: number): number {
  let count = 0
  for (let rest = set; rest !== 0; rest &= rest - 1) count++
  return count
}

/** Mean over drawn orders, each also backwards, which takes away most of the scatter. */
function drawnShares(layers: number, game: Game): DbShares {
  const { players, leadEnergy, products, least } = game
  const m = players.length
  const random = createRandom(SEED)
  const sums = new Float64Array(m)
  const squares = new Float64Array(m)
  const pair = new Float64Array(m)
  const cross = new Float64Array(m)
  const order = Array.from({ length: m }, (_, p) => p)
  for (let drawn = 0; drawn < ORDERS; drawn++) {
    for (let i = m - 1; i > 0; i--) {
      const j = Math.floor(random.uniform() * (i + 1))
      const held = order[i]
      order[i] = order[j]
      order[j] = held
    }
    pair.fill(0)
    for (const isBackwards of [false, true]) {
      cross.fill(0)
      let energy = leadEnergy
      let level = dbFromPower(Math.max(energy, least))
      for (let i = 0; i < m; i++) {
        const p = order[isBackwards ? m - 1 - i : i]
        energy += addedEnergy(game, p, cross[p])
        const next = dbFromPower(Math.max(energy, least))
        pair[p] += (next - level) / 2
        level = next
        for (let q = 0; q < m; q++) cross[q] += products[p * m + q]
      }
    }
    for (let p = 0; p < m; p++) {
      sums[p] += pair[p]
      squares[p] += pair[p] * pair[p]
    }
  }
  const shares = new Float64Array(layers)
  let variance = 0
  for (let p = 0; p < m; p++) {
    const mean = sums[p] / ORDERS
    shares[players[p]] = mean
    variance = Math.max(variance, (squares[p] / ORDERS - mean * mean) / ORDERS)
  }
  return { shares, standardErrorDb: Math.sqrt(Math.max(0, variance)) }
}
