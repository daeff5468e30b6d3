// A model of the mains hum of a take. The phase of its fundamental is read through the whole take by
// demodulation, because 50 and 60 Hz lie under the voice; the strength of each harmonic is fitted in the pauses
// alone, where no voice is, with that phase times its number.

import { GrowingDoubles } from '../maths/growing-doubles.ts'

const WINDOW_SECONDS = 4
const HOP_SECONDS = 0.5
/** A window whose line is weaker than this share of the usual one does not say the phase. */
const LEAST_SHARE = 0.25

/** The phase of the fundamental over time, radians. */
export interface HumPhase {
  readonly kind: 'followed' | 'fixed'
  /** Mean frequency of the fundamental. */
  readonly meanHz: number
  at(seconds: number): number
}

interface PhaseReader {
  /** Takes samples of the take at a low rate, in order. */
  add(samples: Float64Array, from: number, count: number): void
  /** null where the fundamental is too weak or too unsteady to be followed. */
  phase(): HumPhase | null
}

export const fixedPhase = (fundamentalHz: number): HumPhase => ({
  kind: 'fixed',
  meanHz: fundamentalHz,
  at: (seconds) => 2 * Math.PI * fundamentalHz * seconds,
})

/**
 * @param delaySeconds delay of the samples
 * @param seconds length of the take
 */
export function createPhaseReader(
  fundamentalHz: number,
  rateHz: number,
  delaySeconds: number,
  seconds: number,
): PhaseReader {
  // Short takes are read in shorter windows.
  const windowSeconds = Math.min(WINDOW_SECONDS, Math.max(1, seconds / 2))
  const hop = Math.round((HOP_SECONDS * windowSeconds * rateHz) / WINDOW_SECONDS)
  const slots = Math.round(windowSeconds / ((HOP_SECONDS * windowSeconds) / WINDOW_SECONDS))
  const length = slots * hop
  const turn = (2 * Math.PI * fundamentalHz) / rateHz
  const re = new Float64Array(slots)
  const im = new Float64Array(slots)
  const res = new GrowingDoubles()
  const ims = new GrowingDoubles()
  let at = 0
  let started = 1

  return {
    add(samples, from, count) {
      for (let i = 0; i < count; i++, at++) {
        const x = samples[from + i]
        const angle = turn * at
        const c = x * Math.cos(angle)
        const s = -x * Math.sin(angle)
        // `slots` windows overlap at each sample; slot w began at a multiple of the hop.
        for (let w = 0; w < started; w++) {
          const newest = Math.floor(at / hop)
          const start = newest - w
          if (start < 0) break
          const place = (at - start * hop + 0.5) / length
          const weight = 1 - Math.cos(2 * Math.PI * place)
          re[start % slots] += weight * c
          im[start % slots] += weight * s
        }
        if ((at + 1) % hop === 0) {
          const newest = Math.floor(at / hop)
          if (newest >= slots - 1) {
            const slot = (newest - slots + 1) % slots
            res.push(re[slot] / length)
            ims.push(im[slot] / length)
            re[slot] = 0
            im[slot] = 0
          }
          started = Math.min(slots, started + 1)
        }
      }
    },
    phase: () =>
      followed(res.values(), ims.values(), {
        fundamentalHz,
        firstSeconds: length / 2 / rateHz - delaySeconds,
        stepSeconds: hop / rateHz,
        delaySeconds,
      }),
  }
}

interface Track {
  readonly fundamentalHz: number
  /** Centre of the first window in the take, and from one to the next. */
  readonly firstSeconds: number
  readonly stepSeconds: number
  readonly delaySeconds: number
}

function followed(re: Float64Array, im: Float64Array, track: Track): HumPhase | null {
  const { fundamentalHz, firstSeconds, stepSeconds, delaySeconds } = track
  if (re.length === 0) return null
  const sizes = re.map((value, i) => Math.hypot(value, im[i]))
  const usual = sizes.slice().sort()[sizes.length >> 1]
  const angles = new Float64Array(re.length)
  let last = -1
  for (let i = 0; i < re.length; i++) {
    if (sizes[i] < LEAST_SHARE * usual) continue
    const angle = Math.atan2(im[i], re[i])
    const before = last < 0 ? angle : angles[last]
    // The nearest turn; between windows half a second apart the mains drift by far less than half a turn.
    angles[i] = angle + 2 * Math.PI * Math.round((before - angle) / (2 * Math.PI))
    // Windows that were left out lie on a line between their neighbours.
    for (let k = last + 1; k < i; k++)
      angles[k] = last < 0 ? angles[i] : before + ((angles[i] - before) * (k - last)) / (i - last)
    last = i
  }
  if (last < 0) return null
  angles.fill(angles[last], last + 1)
  const turns = (angles[angles.length - 1] - angles[0]) / (2 * Math.PI)
  return {
    kind: 'followed',
    meanHz: fundamentalHz + turns / Math.max(stepSeconds, (angles.length - 1) * stepSeconds),
    at(seconds) {
      const place = (seconds - firstSeconds) / stepSeconds
      const first = Math.max(0, Math.min(angles.length - 2, Math.floor(place)))
      // Beyond the outermost windows the frequency of the last ones goes on.
      const extra = angles.length < 2 ? 0 : (place - first) * slopeAt(angles, first, place)
      return 2 * Math.PI * fundamentalHz * (seconds + delaySeconds) + angles[first] + extra
    },
  }
}

/** Slope from angle `first` on per window; between windows a parabola through its neighbours. */
function slopeAt(angles: Float64Array, first: number, place: number): number {
  const slope = angles[first + 1] - angles[first]
  const within = place - first
  if (within < 0 || within > 1 || first === 0 || first + 2 >= angles.length) return slope
  const bend = (angles[first + 2] - angles[first + 1] - (angles[first] - angles[first - 1])) / 2
  return slope + (bend / 2) * (within - 1)
}

/** The hum of one channel: cosine and sine amplitude of each harmonic. */
export interface HumAmplitudes {
  readonly harmonics: readonly number[]
  readonly cosines: Float64Array
  readonly sines: Float64Array
  /** Mean square of the hum. */
  readonly power: number
  /** How far the power at its harmonics falls in the pauses it was fitted in, dB. */
  readonly fallDb: number
}

interface AmplitudeFit {
  add(samples: Float64Array, from: number, count: number): void
  /** null where the pauses were too short. */
  amplitudes(): HumAmplitudes | null
}

/** Power after the fit is read in stretches of this length, so that a phase that slips is heard. */
const STRETCH_SECONDS = 0.5

/**
 * Least squares over the pauses.
 * @param isPause 1 for each frame of `frameSeconds` in a pause
 */
export function createAmplitudeFit(
  phase: HumPhase,
  harmonics: readonly number[],
  layout: { readonly rateHz: number; readonly delaySeconds: number },
  pauses: { readonly isPause: Uint8Array; readonly frameSeconds: number },
): AmplitudeFit {
  const { rateHz, delaySeconds } = layout
  const { isPause, frameSeconds } = pauses
  const size = 2 * harmonics.length
  const normal = new Float64Array(size * size)
  const right = new Float64Array(size)
  const basis = new Float64Array(size)
  // Sums over stretches of a pause: the samples and the basis against the basis, for the fall.
  const stretches: { right: Float64Array; normal: Float64Array; weight: number }[] = []
  const stretchSamples = Math.round(STRETCH_SECONDS * rateHz)
  let stretch = emptyStretch(size)
  let at = 0
  let used = 0

  function close(): void {
    if (stretch.weight >= stretchSamples / 4) stretches.push(stretch)
    stretch = emptyStretch(size)
  }

  return {
    add(samples, from, count) {
      for (let i = 0; i < count; i++, at++) {
        const seconds = at / rateHz - delaySeconds
        if (isPause[Math.floor(seconds / frameSeconds)] !== 1) {
          if (stretch.weight > 0) close()
          continue
        }
        const angle = phase.at(seconds)
        for (let k = 0; k < harmonics.length; k++) {
          basis[2 * k] = Math.cos(harmonics[k] * angle)
          basis[2 * k + 1] = Math.sin(harmonics[k] * angle)
        }
        const x = samples[from + i]
        for (let p = 0; p < size; p++) {
          right[p] += basis[p] * x
          stretch.right[p] += basis[p] * x
          for (let q = 0; q <= p; q++) {
            normal[p * size + q] += basis[p] * basis[q]
            stretch.normal[p * size + q] += basis[p] * basis[q]
          }
        }
        used++
        stretch.weight++
        if (stretch.weight === stretchSamples) close()
      }
    },
    amplitudes() {
      if (stretch.weight > 0) close()
      if (used < rateHz / 2) return null
      const solved = solveSymmetric(normal, right, size)
      if (solved === null) return null
      let before = 0
      let after = 0
      for (const { right: own, normal: products } of stretches) {
        for (let p = 0; p < size; p++) {
          let modelled = 0
          for (let q = 0; q < size; q++)
            modelled += products[Math.max(p, q) * size + Math.min(p, q)] * solved[q]
          before += own[p] ** 2
          after += (own[p] - modelled) ** 2
        }
      }
      const cosines = new Float64Array(harmonics.length)
      const sines = new Float64Array(harmonics.length)
      let power = 0
      for (let k = 0; k < harmonics.length; k++) {
        cosines[k] = solved[2 * k]
        sines[k] = solved[2 * k + 1]
        power += (cosines[k] ** 2 + sines[k] ** 2) / 2
      }
      const fallDb = 10 * Math.log10(before / Math.max(after, Number.MIN_VALUE))
      return { harmonics, cosines, sines, power, fallDb }
    },
  }
}

const emptyStretch = (size: number) => ({
  right: new Float64Array(size),
  normal: new Float64Array(size * size),
  weight: 0,
})

/** Cholesky; `matrix` has its lower triangle filled. null where it is singular. */
function solveSymmetric(matrix: Float64Array, right: Float64Array, size: number): Float64Array | null {
  const l = matrix.slice()
  const x = right.slice()
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = l[i * size + j]
      for (let k = 0; k < j; k++) sum -= l[i * size + k] * l[j * size + k]
      if (j < i) l[i * size + j] = sum / l[j * size + j]
      else if (sum > 0) l[i * size + i] = Math.sqrt(sum)
      else return null
    }
  }
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) x[i] -= l[i * size + k] * x[k]
    x[i] /= l[i * size + i]
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) x[i] -= l[k * size + i] * x[k]
    x[i] /= l[i * size + i]
  }
  return x
}

/** Subtracts the hum of one channel in place. @param startFrame of the take at `samples[0]` */
export function subtractHum(
  samples: Float64Array,
  count: number,
  startFrame: number,
  sampleRateHz: number,
  phase: HumPhase,
  { harmonics, cosines, sines }: HumAmplitudes,
): void {
  const most = harmonics.reduce((highest, harmonic) => Math.max(highest, harmonic), 1)
  for (let n = 0; n < count; n++) {
    const angle = phase.at((startFrame + n) / sampleRateHz)
    const c = Math.cos(angle)
    const s = Math.sin(angle)
    // Cosine and sine of k times the angle, by addition.
    let ck = 1
    let sk = 0
    let hum = 0
    for (let harmonic = 1, k = 0; harmonic <= most; harmonic++) {
      const next = ck * c - sk * s
      sk = ck * s + sk * c
      ck = next
      if (harmonics[k] !== harmonic) continue
      hum += cosines[k] * ck + sines[k] * sk
      k++
    }
    samples[n] -= hum
  }
}
