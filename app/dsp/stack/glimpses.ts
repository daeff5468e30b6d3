// How much of the lead is heard through the other layers: the share of its cells in time and frequency that are 3 dB
// over the rest. Cells are 10 ms of 32 mel bands from 300 Hz to 6 kHz; those count in which the lead sounds.
// Source: Cooke, "A glimpsing model of speech perception in noise", JASA 119(3), 2006; that half of the cells should
// be heard is our choice.

import { sumBelow } from '../analysis/spectra/frame-spectrum.ts'
import { melSteps } from '../analysis/spectra/mel.ts'
import { pointsAtRate } from '../maths/points-at-rate.ts'
import { twoSpectraOf } from '../wasm/two-spectra.ts'
import { createStackFramer, type FrameSpan, type StackLayer, signalsOf } from './stack-layers.ts'

/** What is heard of the lead in one span. */
export interface GlimpsedSpan {
  readonly span: number
  /** 0 to 1; null where the lead has no cells. */
  readonly share: number | null
  /** The same without each layer by itself. */
  readonly shareWithout: Float64Array
  /** Energy of each layer by frame of 10 ms and mel band, for the timing of layers. */
  readonly cells: readonly Float64Array[]
  readonly frames: number
}

interface GlimpseMeter {
  /** @param blocks one for each channel, as in signalsOf; finite values only */
  add(blocks: readonly Float64Array[], frames: number): void
  finish(): void
}

export const MEL_BANDS = 32
const FROM_HZ = 300
const TO_HZ = 6000
const FRAME_POINTS_AT_48K = 1024
export const CELL_SECONDS = 0.01
const GLIMPSED_RATIO = 10 ** 0.3
/** A cell of the lead counts within 40 dB of the loud ones of its phrase (our choice). */
const ACTIVE_SHARE = 1e-4
const LOUD_QUANTILE = 0.98

/** @param onSpan called at the end of each span, in order; what it is given is used again afterwards */
export function createGlimpseMeter(
  sampleRateHz: number,
  layers: readonly StackLayer[],
  spans: readonly FrameSpan[],
  onSpan: (glimpsed: GlimpsedSpan) => void,
): GlimpseMeter {
  const points = pointsAtRate(FRAME_POINTS_AT_48K, sampleRateHz)
  const half = points / 2
  const hop = Math.round(CELL_SECONDS * sampleRateHz)
  const spectra = twoSpectraOf(points, 'hann')
  const { re, im } = spectra
  const binHz = sampleRateHz / points
  const edges = melSteps(FROM_HZ, TO_HZ, MEL_BANDS + 1).map((hz) => hz / binHz)
  const firstBin = Math.max(0, Math.floor(edges[0]) - 1)
  const lastBin = Math.min(half, Math.ceil(edges[MEL_BANDS]) + 1)
  const signals = signalsOf(layers)
  const n = signals.length
  const framer = createStackFramer(n, points, hop, spans)
  const silence = new Float64Array(points)
  /** Bin by bin: real and imaginary part on the left, then on the right. */
  const makeSides = (): Float64Array => new Float64Array(4 * (lastBin - firstBin + 1))
  const layerSides = layers.map(makeSides)
  const rest = makeSides()
  const lead = makeSides()
  const nothing = makeSides()
  const others = layers.flatMap(({ isLead }, k) => (isLead ? [] : [k]))
  const leadCells = createCells()
  const restCells = createCells()
  const cellsWithout = others.map(createCells)
  const layerCells = layers.map(createCells)
  const sums = new Float64Array(half + 2)
  const sumsBelow = new Float64Array(MEL_BANDS + 1)
  let frames = 0
  let current = -1

  /** Energy of both sides by mel band, less that of a layer's part in them. */
  function addCells(sides: Float64Array, less: Float64Array, cells: Cells): void {
    let sum = 0
    for (let k = firstBin, i = 0; k <= lastBin; k++, i += 4) {
      const a = sides[i] - less[i]
      const b = sides[i + 1] - less[i + 1]
      const c = sides[i + 2] - less[i + 2]
      const d = sides[i + 3] - less[i + 3]
      sums[k] = sum
      sum += a * a + b * b + c * c + d * d
    }
    sums.fill(sum, lastBin + 1)
    for (let band = 0; band <= MEL_BANDS; band++) sumsBelow[band] = sumBelow(sums, edges[band])
    const into = cells.roomFor(frames)
    const at = frames * MEL_BANDS
    for (let band = 0; band < MEL_BANDS; band++)
      into[at + band] = Math.max(0, sumsBelow[band + 1] - sumsBelow[band])
  }

  function takeFrame(held: readonly Float64Array[], from: number, span: number): void {
    if (span !== current) endSpan()
    current = span
    for (const sides of layerSides) sides.fill(0)
    for (let c = 0; c < n; c += 2) {
      const isPair = c + 1 < n
      spectra.measure(held[c], from, isPair ? held[c + 1] : silence, isPair ? from : 0)
      addToSides(c, 0)
      if (isPair) addToSides(c + 1, 1)
    }
    rest.fill(0)
    lead.fill(0)
    for (let k = 0; k < layers.length; k++) addTo(layers[k].isLead ? lead : rest, layerSides[k])
    addCells(lead, nothing, leadCells)
    addCells(rest, nothing, restCells)
    for (let i = 0; i < others.length; i++) addCells(rest, layerSides[others[i]], cellsWithout[i])
    for (let k = 0; k < layers.length; k++) addCells(layerSides[k], nothing, layerCells[k])
    frames++
  }

  function addToSides(signal: number, frame: 0 | 1): void {
    const { layer, left, right } = signals[signal]
    const into = layerSides[layer]
    for (let k = firstBin, i = 0; k <= lastBin; k++, i += 4) {
      const x = re[2 * k + frame]
      const y = im[2 * k + frame]
      into[i] += left * x
      into[i + 1] += left * y
      into[i + 2] += right * x
      into[i + 3] += right * y
    }
  }

  function endSpan(): void {
    if (current < 0) return
    const cellsOf = (cells: Cells): Float64Array => cells.first(frames)
    const ofLead = cellsOf(leadCells)
    const least = ACTIVE_SHARE * loudOf(ofLead)
    const shareWithout = new Float64Array(layers.length).fill(Number.NaN)
    for (const [i, k] of others.entries())
      shareWithout[k] = glimpsed(ofLead, cellsOf(cellsWithout[i]), least) ?? Number.NaN
    onSpan({
      span: current,
      share: glimpsed(ofLead, cellsOf(restCells), least),
      shareWithout,
      cells: layerCells.map(cellsOf),
      frames,
    })
    frames = 0
  }

  return {
    add(blocks, frames) {
      framer.add(blocks, frames, takeFrame)
    },
    finish() {
      endSpan()
      current = -1
    },
  }
}

/** Cells of mel bands, frame by frame. */
interface Cells {
  /** The cells of all frames, with room for one more. */
  roomFor(frame: number): Float64Array
  /** Those of the first frames. */
  first(frames: number): Float64Array
}

function createCells(): Cells {
  let values = new Float64Array(256 * MEL_BANDS)
  return {
    roomFor(frame) {
      if ((frame + 1) * MEL_BANDS > values.length) {
        const grown = new Float64Array(2 * values.length)
        grown.set(values)
        values = grown
      }
      return values
    },
    first: (frames) => values.subarray(0, frames * MEL_BANDS),
  }
}

function addTo(sum: Float64Array, sides: Float64Array): void {
  for (let i = 0; i < sum.length; i++) sum[i] += sides[i]
}

/** The level that one cell in fifty exceeds. */
function loudOf(cells: Float64Array): number {
  const sorted = cells.slice().sort()
  return sorted[Math.floor(LOUD_QUANTILE * (sorted.length - 1))] ?? 0
}

function glimpsed(lead: Float64Array, rest: Float64Array, least: number): number | null {
  let active = 0
  let heard = 0
  for (let i = 0; i < lead.length; i++) {
    if (!(lead[i] > least)) continue
    active++
    if (lead[i] > GLIMPSED_RATIO * rest[i]) heard++
  }
  return active > 0 ? heard / active : null
}
