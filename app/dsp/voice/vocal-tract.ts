// From the vocal folds to the lips: resonators in cascade, four that move with the
// articulation and a row of fixed ones above them, after Klatt (1980), J. Acoust. Soc. Am. 67,
// 971-995. All-pole sections in his form, since their gain of 1 at 0 Hz sets the formants' levels.
import type { Articulation } from './articulation.ts'
import { CONTROL_SECONDS } from './control-track.ts'
import type { TractKind } from './vowels.ts'

/** Bandwidths of F2 to F4 (from memory); that of F1 moves. */
const BANDWIDTHS_HZ = [90, 120, 175] as const
const NASAL_POLE_HZ = 270
const NASAL_BANDWIDTH_HZ = 100
/** A tube of 17.5 cm has a resonance every 1000 Hz; that of women is about 15 % shorter. */
const HIGH_POLES: Readonly<Record<TractKind, { readonly firstHz: number; readonly spacingHz: number }>> = {
  men: { firstHz: 4500, spacingHz: 1000 },
  women: { firstHz: 5200, spacingHz: 1150 },
}
const FIRST_HIGH_BANDWIDTH_HZ = 250
/** Losses at walls and lips widen the resonances with frequency (from memory, rounded). */
const BANDWIDTH_PER_HZ = 0.06

/** Doubles per resonator: two past outputs, then B and C. */
const SLOTS = 4

/**
 * Runs the excitation through the tract, in place.
 * @param articulation tracks that cover the excitation
 */
export function runVocalTract(
  excitation: Float64Array,
  articulation: Articulation,
  tract: TractKind,
  sampleRateHz: number,
): void {
  const { formantsHz, f1BandwidthHz, nasalZeroHz } = articulation
  const poles = new Float64Array(4 * SLOTS)
  for (let i = 0; i < 4; i++) {
    const bandwidthHz = i === 0 ? f1BandwidthHz[0] : BANDWIDTHS_HZ[i - 1]
    aim(poles, i * SLOTS, formantsHz[i][0], bandwidthHz, sampleRateHz)
  }
  const nose = new Float64Array(2 * SLOTS)
  aim(nose, 0, NASAL_POLE_HZ, NASAL_BANDWIDTH_HZ, sampleRateHz)
  aim(nose, SLOTS, nasalZeroHz[0], NASAL_BANDWIDTH_HZ, sampleRateHz)
  const high = highPoles(tract, sampleRateHz)
  const perControl = sampleRateHz * CONTROL_SECONDS
  for (let frame = 0, start = 0; start < excitation.length; frame++) {
    const end = Math.min(excitation.length, Math.ceil((frame + 1) * perControl))
    for (let i = 0; i < 4; i++) {
      const bandwidthHz = i === 0 ? f1BandwidthHz[frame + 1] : BANDWIDTHS_HZ[i - 1]
      glide(excitation, start, end, poles, i * SLOTS, formantsHz[i][frame + 1], bandwidthHz, sampleRateHz)
    }
    runNose(excitation, start, end, nose, nasalZeroHz[frame + 1], sampleRateHz)
    for (let at = 0; at < high.length; at += SLOTS) resonate(excitation, start, end, high, at)
    start = end
  }
}

function highPoles(tract: TractKind, sampleRateHz: number): Float64Array {
  const { firstHz, spacingHz } = HIGH_POLES[tract]
  const count = Math.max(0, Math.floor((sampleRateHz / 2 - firstHz) / spacingHz + 0.5))
  const poles = new Float64Array(count * SLOTS)
  for (let i = 0; i < count; i++) {
    const aboveHz = i * spacingHz
    const bandwidthHz = FIRST_HIGH_BANDWIDTH_HZ + BANDWIDTH_PER_HZ * aboveHz
    aim(poles, i * SLOTS, firstHz + aboveHz, bandwidthHz, sampleRateHz)
  }
  return poles
}

function aim(
  slots: Float64Array,
  at: number,
  frequencyHz: number,
  bandwidthHz: number,
  sampleRateHz: number,
): void {
  const radius = Math.exp((-Math.PI * bandwidthHz) / sampleRateHz)
  slots[at + 2] = 2 * radius * Math.cos((2 * Math.PI * frequencyHz) / sampleRateHz)
  slots[at + 3] = -radius * radius
}

/** A resonator whose B and C move in a straight line to their next aim: the stable region is convex. */
function glide(
  x: Float64Array,
  start: number,
  end: number,
  slots: Float64Array,
  at: number,
  frequencyHz: number,
  bandwidthHz: number,
  sampleRateHz: number,
): void {
  let b = slots[at + 2]
  let c = slots[at + 3]
  aim(slots, at, frequencyHz, bandwidthHz, sampleRateHz)
  const bStep = (slots[at + 2] - b) / (end - start)
  const cStep = (slots[at + 3] - c) / (end - start)
  let y1 = slots[at]
  let y2 = slots[at + 1]
  for (let n = start; n < end; n++) {
    b += bStep
    c += cStep
    const y = (1 - b - c) * x[n] + b * y1 + c * y2
    y2 = y1
    y1 = y
    x[n] = y
  }
  slots[at] = y1
  slots[at + 1] = y2
}

function resonate(x: Float64Array, start: number, end: number, slots: Float64Array, at: number): void {
  const b = slots[at + 2]
  const c = slots[at + 3]
  const a = 1 - b - c
  let y1 = slots[at]
  let y2 = slots[at + 1]
  for (let n = start; n < end; n++) {
    const y = a * x[n] + b * y1 + c * y2
    y2 = y1
    y1 = y
    x[n] = y
  }
  slots[at] = y1
  slots[at + 1] = y2
}

/**
 * The nasal resonance and the zero of the side branch as one section, so that they cancel where no nose is
 * open and a moving zero is smoothed by the pole behind it. `slots` also holds two past inputs and the
 * zero's B and C, which move in a straight line.
 */
function runNose(
  x: Float64Array,
  start: number,
  end: number,
  slots: Float64Array,
  zeroHz: number,
  sampleRateHz: number,
): void {
  const poleB = slots[2]
  const poleC = slots[3]
  const poleGain = 1 - poleB - poleC
  let b = slots[SLOTS + 2]
  let c = slots[SLOTS + 3]
  aim(slots, SLOTS, zeroHz, NASAL_BANDWIDTH_HZ, sampleRateHz)
  const bStep = (slots[SLOTS + 2] - b) / (end - start)
  const cStep = (slots[SLOTS + 3] - c) / (end - start)
  let y1 = slots[0]
  let y2 = slots[1]
  let x1 = slots[SLOTS]
  let x2 = slots[SLOTS + 1]
  for (let n = start; n < end; n++) {
    b += bStep
    c += cStep
    const input = x[n]
    const y = (poleGain / (1 - b - c)) * (input - b * x1 - c * x2) + poleB * y1 + poleC * y2
    x2 = x1
    x1 = input
    y2 = y1
    y1 = y
    x[n] = y
  }
  slots[0] = y1
  slots[1] = y2
  slots[SLOTS] = x1
  slots[SLOTS + 1] = x2
}
