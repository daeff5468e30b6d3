// The vocal tract from the folds to the lips: the resonances of a neutral tube, and four sections that
// move its lowest ones to the articulation's formants, after Klatt (1980), J. Acoust. Soc. Am. 67,
// 971-995: poles in cascade, whose gain of 1 at 0 Hz sets the formants' levels.
import type { Articulation } from './articulation.ts'
import { CONTROL_SECONDS } from './control-track.ts'
import type { TractKind } from './vowels.ts'

/** Bandwidths of F2 to F4 (from memory); that of F1 varies. */
const BANDWIDTHS_HZ = [90, 120, 175] as const
const NASAL_POLE_HZ = 270
const NASAL_BANDWIDTH_HZ = 100
/** Resonances of a uniform tube: every 1000 Hz from 500 Hz for 17.5 cm; women's is about 15 % shorter. */
const TUBES: Readonly<Record<TractKind, { readonly firstHz: number; readonly spacingHz: number }>> = {
  men: { firstHz: 500, spacingHz: 1000 },
  women: { firstHz: 600, spacingHz: 1150 },
}
/** Losses at walls and lips widen the resonances with frequency (from memory, rounded). */
const TUBE_BANDWIDTH_HZ = 100
const HIGH_BANDWIDTH_HZ = 250
const BANDWIDTH_PER_HZ = 0.06
const FORMANTS = 4

/** Doubles per section: two past outputs, two past inputs, B and C of its pole, B and C of its zero. */
const SLOTS = 8
const POLE = 4
const ZERO = 6

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
  const tube = neutralTube(tract, sampleRateHz)
  // Each moving section is a pole over a zero, so that it changes the spectrum only a little. Moving poles
  // without zeros would take 150 dB off the highest frequencies; the high poles would then amplify those
  // again, and with them every discontinuity of a glide.
  const moving = new Float64Array(FORMANTS * SLOTS)
  for (let i = 0; i < FORMANTS; i++) {
    const bandwidthHz = i === 0 ? f1BandwidthHz[0] : BANDWIDTHS_HZ[i - 1]
    aim(moving, i * SLOTS + POLE, formantsHz[i][0], bandwidthHz, sampleRateHz)
    moving[i * SLOTS + ZERO] = tube[i * SLOTS + POLE]
    moving[i * SLOTS + ZERO + 1] = tube[i * SLOTS + POLE + 1]
  }
  const nose = new Float64Array(SLOTS)
  aim(nose, POLE, NASAL_POLE_HZ, NASAL_BANDWIDTH_HZ, sampleRateHz)
  aim(nose, ZERO, nasalZeroHz[0], NASAL_BANDWIDTH_HZ, sampleRateHz)
  const perControl = sampleRateHz * CONTROL_SECONDS
  for (let frame = 0, start = 0; start < excitation.length; frame++) {
    const end = Math.min(excitation.length, Math.ceil((frame + 1) * perControl))
    for (let at = 0; at < tube.length; at += SLOTS) resonate(excitation, start, end, tube, at)
    for (let i = 0; i < FORMANTS; i++) {
      const bandwidthHz = i === 0 ? f1BandwidthHz[frame + 1] : BANDWIDTHS_HZ[i - 1]
      const at = i * SLOTS
      glide(
        excitation,
        start,
        end,
        moving,
        at,
        at + POLE,
        formantsHz[i][frame + 1],
        bandwidthHz,
        sampleRateHz,
      )
    }
    glide(excitation, start, end, nose, 0, ZERO, nasalZeroHz[frame + 1], NASAL_BANDWIDTH_HZ, sampleRateHz)
    start = end
  }
}

/** Poles of the neutral tube up to half the sample rate, the four lowest first. */
function neutralTube(tract: TractKind, sampleRateHz: number): Float64Array {
  const { firstHz, spacingHz } = TUBES[tract]
  const count = Math.floor((sampleRateHz / 2 - firstHz) / spacingHz + 0.5)
  const poles = new Float64Array(count * SLOTS)
  for (let i = 0; i < count; i++) {
    const above = (i - FORMANTS) * spacingHz
    const bandwidthHz = i < FORMANTS ? TUBE_BANDWIDTH_HZ : HIGH_BANDWIDTH_HZ + BANDWIDTH_PER_HZ * above
    aim(poles, i * SLOTS + POLE, firstHz + i * spacingHz, bandwidthHz, sampleRateHz)
  }
  return poles
}

/** Puts B and C of a resonance into two slots; its gain A is 1 - B - C. */
function aim(
  slots: Float64Array,
  at: number,
  frequencyHz: number,
  bandwidthHz: number,
  sampleRateHz: number,
): void {
  const radius = Math.exp((-Math.PI * bandwidthHz) / sampleRateHz)
  slots[at] = 2 * radius * Math.cos((2 * Math.PI * frequencyHz) / sampleRateHz)
  slots[at + 1] = -radius * radius
}

function resonate(x: Float64Array, start: number, end: number, slots: Float64Array, at: number): void {
  const b = slots[at + POLE]
  const c = slots[at + POLE + 1]
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
 * A pole over a zero with gain 1 at 0 Hz. One of the two moves: the B and C at `movingAt` are interpolated
 * linearly to their next target. The stability region of B and C is convex, so every point on the way is
 * stable too.
 */
function glide(
  x: Float64Array,
  start: number,
  end: number,
  slots: Float64Array,
  at: number,
  movingAt: number,
  frequencyHz: number,
  bandwidthHz: number,
  sampleRateHz: number,
): void {
  let b = slots[at + POLE]
  let c = slots[at + POLE + 1]
  let zeroB = slots[at + ZERO]
  let zeroC = slots[at + ZERO + 1]
  const fromB = slots[movingAt]
  const fromC = slots[movingAt + 1]
  aim(slots, movingAt, frequencyHz, bandwidthHz, sampleRateHz)
  const stepB = (slots[movingAt] - fromB) / (end - start)
  const stepC = (slots[movingAt + 1] - fromC) / (end - start)
  const isPoleMoving = movingAt === at + POLE
  const poleStepB = isPoleMoving ? stepB : 0
  const poleStepC = isPoleMoving ? stepC : 0
  const zeroStepB = stepB - poleStepB
  const zeroStepC = stepC - poleStepC
  let y1 = slots[at]
  let y2 = slots[at + 1]
  let x1 = slots[at + 2]
  let x2 = slots[at + 3]
  for (let n = start; n < end; n++) {
    b += poleStepB
    c += poleStepC
    zeroB += zeroStepB
    zeroC += zeroStepC
    const input = x[n]
    const gain = (1 - b - c) / (1 - zeroB - zeroC)
    const y = gain * (input - zeroB * x1 - zeroC * x2) + b * y1 + c * y2
    x2 = x1
    x1 = input
    y2 = y1
    y1 = y
    x[n] = y
  }
  slots[at] = y1
  slots[at + 1] = y2
  slots[at + 2] = x1
  slots[at + 3] = x2
}
