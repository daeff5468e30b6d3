// Loudness after ITU-R BS.1770-5 Annex 1 and EBU Tech 3341/3342 v4: integrated,
// momentary, short-term and loudness range, in one streaming pass. Each minute
// adds 600 energies of 100 ms to its memory; everything else has a fixed size.

import { dbFromPower } from '../maths/decibels.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import type { Channels } from '../stage.ts'
import { createKWeightedEnergy } from './k-weighting.ts'

/** BS.1770-5 Annex 1 eq. 2: cancels the K gain at 997 Hz. */
export const OFFSET_LU = -0.691
/** Eq. 6: gates open strictly above this loudness. */
const ABSOLUTE_GATE_LUFS = -70
/** Eq. 7: 10 LU below the loudness of what passed the absolute gate. */
const RELATIVE_GATE_RATIO = 0.1
/** Tech 3342 section 3.1: 20 LU below, for the loudness range. */
const RANGE_GATE_RATIO = 0.01
/** Tech 3342: a file meter appends 1.5 s of silence, so that the end counts like the rest. */
const RANGE_TAIL_TENTHS = 15

// Momentary and short-term are evaluated every hop of 10 ms: Tech 3341 case 13
// fails with steps of 100 ms.
const HOPS_PER_SECOND = 100
const HOPS_PER_TENTH = 10
const TENTHS_MOMENTARY = 4
const TENTHS_SHORT_TERM = 30
const RING_HOPS = HOPS_PER_TENTH * TENTHS_SHORT_TERM

/**
 * All figures can be read at any time without changing any state. null: the material
 * has no value yet (shorter than the window, or silent).
 */
export interface LoudnessMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /** Gated loudness of everything so far, LUFS; null under 400 ms or with nothing above -70 LUFS. */
  integratedLufs(): number | null
  /** Loudness range, LU; null under 3 s or with nothing at -70 LUFS or above. */
  loudnessRangeLu(): number | null
  /** Greatest loudness of any 400 ms, ungated, LUFS. */
  maxMomentaryLufs(): number | null
  /** Greatest loudness of any 3 s, ungated, LUFS. */
  maxShortTermLufs(): number | null
  /** Loudness of the last 400 ms up to the latest 10 ms step, LUFS. */
  momentaryLufs(): number | null
  /** Loudness of the last 3 s up to the latest 10 ms step, LUFS. */
  shortTermLufs(): number | null
}

/**
 * Weights of BS.1770-5 Table 3 for channels in the usual order: 5 are L R C Ls Rs,
 * 6 are L R C LFE Ls Rs (LFE is not counted). Any other number counts every
 * channel once; mono is one channel, not two.
 */
export function loudnessChannelWeights(channels: number): readonly number[] {
  if (channels === 5) return [1, 1, 1, 1.41, 1.41]
  if (channels === 6) return [1, 1, 1, 0, 1.41, 1.41]
  return new Array<number>(channels).fill(1)
}

/** Loudness in LUFS of a K-weighted mean square summed over channels; null for 0. */
function lufsFromPower(power: number): number | null {
  return power > 0 ? OFFSET_LU + dbFromPower(power) : null
}

/** K-weighted mean square at which the loudness is `lufs`. */
function powerFromLufs(lufs: number): number {
  return 10 ** ((lufs - OFFSET_LU) / 10)
}

/** The absolute gate of -70 LUFS as a K-weighted mean square. */
export const ABSOLUTE_GATE_POWER = powerFromLufs(ABSOLUTE_GATE_LUFS)

/** @throws RangeError for a rate below 4 kHz or no channel */
export function createLoudnessMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): LoudnessMeter {
  const { sampleRateHz, channels: channelCount } = layout
  if (!(channelCount >= 1)) throw new RangeError('a loudness meter needs at least one channel')
  const filter = createKWeightedEnergy(sampleRateHz, loudnessChannelWeights(channelCount))
  const hopRing = new Float64Array(HOPS_PER_TENTH)
  // Energy of the 100 ms that end at each hop: windows are sums of few of them,
  // computed from scratch every time, so no rounding error builds up over hours.
  const tenthRing = new Float64Array(RING_HOPS)
  const tenthEnergies = new GrowingDoubles()
  const open = new Float64Array(1)
  const latest = new Float64Array(2)
  const greatest = new Float64Array(2)
  let hops = 0
  let frame = 0
  let hopEndFrame = hopBoundary(1)

  function hopBoundary(hop: number): number {
    return Math.round((hop * sampleRateHz) / HOPS_PER_SECOND)
  }

  function closeHop(): void {
    hopRing[hops % HOPS_PER_TENTH] = open[0]
    open[0] = 0
    hops++
    hopEndFrame = hopBoundary(hops + 1)
    let tenth = 0
    for (let i = 0; i < HOPS_PER_TENTH; i++) tenth += hopRing[i]
    tenthRing[hops % RING_HOPS] = tenth
    if (hops % HOPS_PER_TENTH === 0) tenthEnergies.push(tenth)
    latest[0] = windowPower(TENTHS_MOMENTARY)
    latest[1] = windowPower(TENTHS_SHORT_TERM)
    if (latest[0] > greatest[0]) greatest[0] = latest[0]
    if (latest[1] > greatest[1]) greatest[1] = latest[1]
  }

  /** Mean square of the last `tenths` x 100 ms; 0 while there are not that many. */
  function windowPower(tenths: number): number {
    const firstHop = hops - tenths * HOPS_PER_TENTH
    if (firstHop < 0) return 0
    let energy = 0
    for (let i = 0; i < tenths; i++) energy += tenthRing[(hops - i * HOPS_PER_TENTH) % RING_HOPS]
    return energy / (hopBoundary(hops) - hopBoundary(firstHop))
  }

  /** Energy since the last whole 100 ms. */
  function unfinishedTenth(): number {
    let energy = open[0]
    for (let i = 0; i < hops % HOPS_PER_TENTH; i++) energy += hopRing[i]
    return energy
  }

  /** Mean squares of all windows of `tenths` x 100 ms over these energies, in steps of 100 ms. */
  function windowPowers(energies: Float64Array, tenths: number): Float64Array {
    const powers = new Float64Array(Math.max(0, energies.length - tenths + 1))
    for (let i = 0; i < powers.length; i++) {
      let energy = 0
      for (let j = i; j < i + tenths; j++) energy += energies[j]
      const frames = hopBoundary((i + tenths) * HOPS_PER_TENTH) - hopBoundary(i * HOPS_PER_TENTH)
      powers[i] = energy / frames
    }
    return powers
  }

  return {
    add(channels, frames) {
      let from = 0
      while (from < frames) {
        const to = Math.min(frames, from + hopEndFrame - frame)
        open[0] += filter.add(channels, from, to)
        frame += to - from
        from = to
        if (frame === hopEndFrame) closeHop()
      }
    },
    integratedLufs() {
      const powers = windowPowers(tenthEnergies.values(), TENTHS_MOMENTARY)
      const gate = Math.max(ABSOLUTE_GATE_POWER, meanAbove(powers, ABSOLUTE_GATE_POWER) * RELATIVE_GATE_RATIO)
      return lufsFromPower(meanAbove(powers, gate))
    },
    loudnessRangeLu() {
      if (hops < RING_HOPS) return null
      const followed = new Float64Array(tenthEnergies.length + RANGE_TAIL_TENTHS)
      followed.set(tenthEnergies.values())
      followed[tenthEnergies.length] = unfinishedTenth()
      const powers = windowPowers(followed, TENTHS_SHORT_TERM)
      const loud = powers.filter((power) => power >= ABSOLUTE_GATE_POWER)
      if (loud.length === 0) return null
      const gate = (loud.reduce((sum, power) => sum + power, 0) / loud.length) * RANGE_GATE_RATIO
      const kept = loud.filter((power) => power >= gate).sort()
      return dbFromPower(percentile(kept, 95) / percentile(kept, 10))
    },
    maxMomentaryLufs: () => lufsFromPower(greatest[0]),
    maxShortTermLufs: () => lufsFromPower(greatest[1]),
    momentaryLufs: () => lufsFromPower(latest[0]),
    shortTermLufs: () => lufsFromPower(latest[1]),
  }
}

/** Mean of the powers strictly above `gate`; 0 when there is none. */
function meanAbove(powers: Float64Array, gate: number): number {
  let sum = 0
  let count = 0
  for (let i = 0; i < powers.length; i++) {
    if (powers[i] > gate) {
      sum += powers[i]
      count++
    }
  }
  return count === 0 ? 0 : sum / count
}

/** Tech 3342 section 5: value number round((n - 1) p / 100 + 1) of the sorted values. */
function percentile(sorted: Float64Array, percent: number): number {
  return sorted[Math.round(((sorted.length - 1) * percent) / 100)]
}
