// How much of the lead is heard through the other layers: the share of its cells in time and frequency that are 3 dB
// over the rest. Cells are 10 ms of 32 mel bands from 300 Hz to 6 kHz; those count in which the lead sounds.
// Source: Cooke, "A glimpsing model of speech perception in noise", JASA 119(3), 2006; that half of the cells should
// be heard is our choice.

import { sumBelow } from '../analysis/spectra/frame-spectrum.ts'
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

const melOf = (hz: number): number => 2595 * Math.log10(1 + hz / 700)
const hzOf = (mel: number): number => 700 * (10 ** (mel / 2595) - 1)

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
  const edges = Float64Array.from({ length: MEL_BANDS + 1 }, (_, i) => {
    const share = i / MEL_BANDS
    return hzOf(melOf(FROM_HZ) * (1 - share) + melOf(TO_HZ) * share) / binHz
  })
  const firstBin = Math.max(0, Math.floor(edges[0]) - 1)
  const lastBin = Math.min(half, Math.ceil(edges[MEL_BANDS]) + 1)
  const bins = half + 1
  const signals = signalsOf(layers)
  const n = signals.length
  const framer = createStackFramer(n, points, hop, spans)
  const silence = new Float64Array(points)
  const make = (): Float64Array => new Float64Array(bins)
  const layerSpectra = layers.map(() => ({
    leftRe: make(),
    leftIm: make(),
    rightRe: make(),
    rightIm: make(),
  }))
  const rest = { leftRe: make(), leftIm: make(), rightRe: make(), rightIm: make() }
  const lead = { leftRe: make(), leftIm: make(), rightRe: make(), rightIm: make() }
  const others = layers.flatMap(({ isLead }, k) => (isLead ? [] : [k]))
  /** By frame: cells of the lead, of the rest, of the rest without each other layer, of each layer. */
  const rows = {
    lead: [] as Float64Array[],
    rest: [] as Float64Array[],
    without: others.map(() => [] as Float64Array[]),
    layers: layers.map(() => [] as Float64Array[]),
  }
  const sums = new Float64Array(bins + 1)
  let current = -1

  type Sides = typeof rest
  const clear = (sides: Sides): void => {
    for (const row of Object.values(sides)) row.fill(0)
  }
  const add = (from: Sides, to: Sides): void => {
    for (let k = firstBin; k <= lastBin; k++) {
      to.leftRe[k] += from.leftRe[k]
      to.leftIm[k] += from.leftIm[k]
      to.rightRe[k] += from.rightRe[k]
      to.rightIm[k] += from.rightIm[k]
    }
  }
  /** Energy of both sides by mel band, less that of a layer's part in them. */
  const cellsOf = (sides: Sides, less: Sides | null): Float64Array => {
    let sum = 0
    for (let k = firstBin; k <= lastBin; k++) {
      const a = sides.leftRe[k] - (less === null ? 0 : less.leftRe[k])
      const b = sides.leftIm[k] - (less === null ? 0 : less.leftIm[k])
      const c = sides.rightRe[k] - (less === null ? 0 : less.rightRe[k])
      const d = sides.rightIm[k] - (less === null ? 0 : less.rightIm[k])
      sums[k] = sum
      sum += a * a + b * b + c * c + d * d
    }
    sums.fill(sum, lastBin + 1)
    return Float64Array.from({ length: MEL_BANDS }, (_, i) =>
      Math.max(0, sumBelow(sums, edges[i + 1]) - sumBelow(sums, edges[i])),
    )
  }

  function takeFrame(held: readonly Float64Array[], span: number): void {
    if (span !== current) endSpan()
    current = span
    for (const sides of layerSpectra) clear(sides)
    for (let c = 0; c < n; c += 2) {
      spectra.measure(held[c], 0, c + 1 < n ? held[c + 1] : silence, 0)
      for (let side = 0; side < 2 && c + side < n; side++) {
        const { layer, left, right } = signals[c + side]
        const into = layerSpectra[layer]
        for (let k = firstBin; k <= lastBin; k++) {
          const x = re[2 * k + side]
          const y = im[2 * k + side]
          into.leftRe[k] += left * x
          into.leftIm[k] += left * y
          into.rightRe[k] += right * x
          into.rightIm[k] += right * y
        }
      }
    }
    clear(rest)
    clear(lead)
    for (let k = 0; k < layers.length; k++) add(layerSpectra[k], layers[k].isLead ? lead : rest)
    rows.lead.push(cellsOf(lead, null))
    rows.rest.push(cellsOf(rest, null))
    for (const [i, k] of others.entries()) rows.without[i].push(cellsOf(rest, layerSpectra[k]))
    for (let k = 0; k < layers.length; k++) rows.layers[k].push(cellsOf(layerSpectra[k], null))
  }

  function endSpan(): void {
    if (current < 0) return
    const frames = rows.lead.length
    const least = ACTIVE_SHARE * loudOf(rows.lead)
    const shareWithout = new Float64Array(layers.length).fill(Number.NaN)
    for (const [i, k] of others.entries())
      shareWithout[k] = glimpsed(rows.lead, rows.without[i], least) ?? Number.NaN
    onSpan({
      span: current,
      share: glimpsed(rows.lead, rows.rest, least),
      shareWithout,
      cells: rows.layers.map((cells) => flat(cells)),
      frames,
    })
    for (const list of [rows.lead, rows.rest, ...rows.without, ...rows.layers]) list.length = 0
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

function flat(rows: readonly Float64Array[]): Float64Array {
  const all = new Float64Array(rows.length * MEL_BANDS)
  for (const [i, row] of rows.entries()) all.set(row, i * MEL_BANDS)
  return all
}

/** The level that one cell in fifty exceeds. */
function loudOf(rows: readonly Float64Array[]): number {
  const sorted = flat(rows).sort()
  return sorted[Math.floor(LOUD_QUANTILE * (sorted.length - 1))] ?? 0
}

function glimpsed(
  lead: readonly Float64Array[],
  rest: readonly Float64Array[],
  least: number,
): number | null {
  let active = 0
  let heard = 0
  for (let i = 0; i < lead.length; i++) {
    for (let b = 0; b < MEL_BANDS; b++) {
      if (!(lead[i][b] > least)) continue
      active++
      if (lead[i][b] > GLIMPSED_RATIO * rest[i][b]) heard++
    }
  }
  return active > 0 ? heard / active : null
}
