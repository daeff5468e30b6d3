// The compiled kernels (assembly/), and the memory that they work in.
//
// There is one instance for each thread. Its memory is for working only: whoever calls a
// kernel puts everything that it reads there first, and takes away what it wrote before
// the call to `process` ends. So nothing lasts in it, the arrays of a stage's `memory`
// stay the whole of its state, and any number of stages take no more room than one. (An
// instance for each stage would reserve gigabytes of addresses each, of which a process
// has only so many.)

import { KERNEL_BYTES } from './kernel-bytes.ts'

/** Every place is in bytes from the start of the memory. */
export interface Kernels {
  freeFrom(): number
  doubleRate(taps: number, count: number, source: number, destination: number, samples: number): void
  halveRate(
    taps: number,
    count: number,
    even: number,
    odd: number,
    toEven: number,
    toOdd: number,
    samples: number,
  ): void
  decimateByTwo(
    taps: number,
    middle: number,
    even: number,
    odd: number,
    destination: number,
    samples: number,
  ): void
  writeExcess(sound: number, excess: number, count: number, push: number, tanhBias: number): void
  multiplySplit(a: number, b: number, toEven: number, toOdd: number, count: number): void
  addFreedOfDc(
    dry: number,
    difference: number,
    sum: number,
    state: number,
    r: number,
    unbentGain: number,
    bentGain: number,
    frames: number,
  ): void
  runSectionsOfOne(
    samples: number,
    frames: number,
    coefficients: number,
    state: number,
    sections: number,
  ): void
  runSectionsOfTwo(samples: number, frames: number, coefficients: number, state: number, pairs: number): void
  writeOptoPower(samples: number, frames: number, coefficients: number, state: number, floor: number): void
  writeStaticReductions(
    powers: number,
    frames: number,
    untouchedPower: number,
    thresholdDbfs: number,
    slope: number,
    kneeDb: number,
  ): number
  runOptoCells(reductionsDb: number, frames: number, coefficients: number, state: number): number
  writeReducedGains(reductionsDb: number, frames: number, makeUpDb: number, makeUpGain: number): void
  writeBandPowers(bands: number, frames: number, coefficients: number, state: number, floor: number): void
  writeRatios(powers: number, ratios: number, frames: number, floor: number): void
  runDeEssBallistics(
    askedDb: number,
    frames: number,
    state: number,
    rangeDb: number,
    attack: number,
    holdFrames: number,
    releaseDb: number,
    untouchedDb: number,
  ): number
  designMovingSection(
    reductionsDb: number,
    frames: number,
    rows: number,
    g: number,
    damping: number,
    isBell: boolean,
  ): void
  runMovingSection(samples: number, frames: number, reductionsDb: number, rows: number, state: number): void
  followAtRest(samples: number, frames: number, coefficients: number, state: number): void
  raiseToIntervalPeaks(
    sound: number,
    frames: number,
    peaks: number,
    limit: number,
    taps: number,
    phases: number,
    peakFactor: number,
    nearFactor: number,
    bendFactor: number,
  ): number
  runCeilingControl(
    peaks: number,
    frames: number,
    state: number,
    ceiling: number,
    release: number,
    window: number,
    firstLength: number,
    secondLength: number,
  ): number
  takeOff(samples: number, taken: number, frames: number): void
  clampRow(samples: number, frames: number, limit: number): void
  writeWords(
    samples: number,
    frames: number,
    to: number,
    stride: number,
    wordBytes: number,
    top: number,
    noise: number,
  ): number
  readWords(words: number, frames: number, stride: number, wordBytes: number, samples: number): void
  sumOfSquares(row: number, count: number): number
  writeKWeightedEnergies(both: number, frames: number, coefficients: number, state: number): void
  surveyRow(row: number, count: number, state: number): void
  placeReaching(row: number, from: number, end: number, sign: number, floor: number): number
  writeGroupPeaks(samples: number, groups: number, groupFrames: number, peaks: number): void
  writeGroupBends(samples: number, groups: number, groupFrames: number, bends: number): void
  addScaledRow(row: number, gain: number, sum: number, frames: number): void
  convertRate(
    input: number,
    output: number,
    frames: number,
    taps: number,
    length: number,
    phases: number,
    phase: number,
    wholeStep: number,
    phaseStep: number,
  ): void
  followPower(samples: number, frames: number, state: number, smooth: number, floor: number): void
  writeExpansions(
    powers: number,
    frames: number,
    thresholdPower: number,
    thresholdDb: number,
    slope: number,
    rangeDb: number,
  ): number
  runExpanderBallistics(
    askedDb: number,
    frames: number,
    state: number,
    attack: number,
    release: number,
    holdFrames: number,
    openDb: number,
  ): number
  clearDead(states: number, count: number): void
  multiplyRow(samples: number, gains: number, frames: number): void
  raiseRow(highest: number, row: number, frames: number): void
  interleaveRows(first: number, second: number, both: number, frames: number): void
  separateRows(both: number, first: number, second: number, frames: number): void
  writeDbOfPowers(powers: number, count: number): void
  writeGainsOfDb(db: number, count: number): void
}

/** What this needs of WebAssembly; every platform of the program has it, but the language's own types do not. */
interface WebAssemblyHost {
  readonly WebAssembly: {
    readonly Module: new (bytes: Uint8Array) => object
    readonly Instance: new (module: object) => { readonly exports: unknown }
  }
}

const { WebAssembly } = globalThis as unknown as WebAssemblyHost
const compiled = new WebAssembly.Module(bytesFromBase64(KERNEL_BYTES))

export interface KernelInstance {
  readonly kernels: Kernels
  /** All of the memory that the kernels work in, as doubles. */
  readonly work: Float64Array
}

/** Kernels with a memory of their own, for the few tables that are too large to be put in place at every call. */
export function createKernelInstance(): KernelInstance {
  const { exports } = new WebAssembly.Instance(compiled)
  const { memory } = exports as { memory: { buffer: ArrayBuffer } }
  return { kernels: exports as Kernels, work: new Float64Array(memory.buffer) }
}

export const { kernels, work } = createKernelInstance()

/** So many values go one by one in less time than a call of `set` takes. */
const FEW = 40

/** Puts the first `count` values into a row. */
export function put(values: Float64Array, row: number, count: number): void {
  if (count <= FEW) for (let i = 0; i < count; i++) work[row + i] = values[i]
  // Four times as fast as a loop, view or no view.
  else work.set(values.length === count ? values : values.subarray(0, count), row)
}

/** Takes the first `count` values of a row. */
export function take(row: number, values: Float64Array, count: number): void {
  if (count <= FEW) for (let i = 0; i < count; i++) values[i] = work[row + i]
  else values.set(values.length === count ? wholeRow(row, count) : work.subarray(row, row + count))
}

/** Views of whole rows by place and length, which are asked for again and again. */
const views = new Map<number, Float64Array>()

function wholeRow(row: number, count: number): Float64Array {
  const key = row * work.length + count
  let view = views.get(key)
  if (view === undefined) {
    view = work.subarray(row, row + count)
    views.set(key, view)
  }
  return view
}

/** Rows of doubles for one caller, one after another from where free memory begins. */
export interface WorkRows {
  /** Index in `work` of a new row. @throws RangeError when the memory is full */
  row(length: number): number
}

/** @param memory of the instance that the rows are of; that of this thread when nothing is said */
export function createWorkRows(memory: Float64Array = work): WorkRows {
  let next = Math.ceil(kernels.freeFrom() / 16) * 2
  return {
    row(length) {
      const at = next
      // Whole vectors, and room behind for what kernels write past the end.
      next += 8 * Math.ceil(length / 8) + 8
      if (next > memory.length) throw new RangeError('the kernels have not that much memory')
      return at
    },
  }
}

function bytesFromBase64(text: string): Uint8Array {
  const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'
  const values = new Uint8Array(128)
  for (let i = 0; i < digits.length; i++) values[digits.charCodeAt(i)] = i
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0
  const bytes = new Uint8Array((text.length / 4) * 3)
  for (let i = 0, at = 0; i < text.length; i += 4, at += 3) {
    const word =
      (values[text.charCodeAt(i)] << 18) |
      (values[text.charCodeAt(i + 1)] << 12) |
      (values[text.charCodeAt(i + 2)] << 6) |
      values[text.charCodeAt(i + 3)]
    bytes[at] = word >> 16
    bytes[at + 1] = word >> 8
    bytes[at + 2] = word
  }
  return bytes.subarray(0, bytes.length - padding)
}
