// The compiled kernels (assembly/), and the memory that they work in.
//
// There is one instance for each thread. Its memory is scratch space: the caller of a
// kernel first copies in everything the kernel reads, and copies out what it wrote before
// the call to `process` ends. So nothing persists in it, the arrays of a stage's `memory`
// are its whole state, and any number of stages need no more memory than one. (An instance
// for each stage would reserve gigabytes of address space each, which a process would run
// out of.)

import { KERNEL_BYTES } from './kernel-bytes.ts'
import type { Kernels } from './kernel-interface.ts'
import { indexOf, type Row, rowAt } from './row.ts'

/** The part of WebAssembly used here: every supported platform has it, but TypeScript's own types do not. */
interface WebAssemblyHost {
  readonly WebAssembly: {
    readonly Module: new (bytes: Uint8Array) => object
    readonly Instance: new (module: object) => { readonly exports: unknown }
  }
}

const { WebAssembly } = globalThis as unknown as WebAssemblyHost
const compiled = new WebAssembly.Module(bytesFromBase64(KERNEL_BYTES))

interface KernelInstance {
  readonly kernels: Kernels
  /** The whole memory as doubles; 8 MiB (app/scripts/write-kernels.ts). */
  readonly memory: Float64Array
}

/** Kernels with a memory of their own, for tables that are too large to copy in at every call. */
export function createKernelInstance(): KernelInstance {
  const { exports } = new WebAssembly.Instance(compiled)
  const { memory } = exports as { memory: { buffer: ArrayBuffer } }
  return { kernels: exports as Kernels, memory: new Float64Array(memory.buffer) }
}

const shared = createKernelInstance()
const { memory } = shared

/** The kernels of this thread. They read and write rows of the one memory that all stages share. */
export const kernels = shared.kernels

/** Up to this many values a loop copies faster than a call of `set`. */
const FEW = 40

/** Copies `count` values, from index `from` on, into a row of the shared memory. */
export function copyIn(values: Float64Array, row: Row, count: number, from = 0): void {
  const at = indexOf(row)
  if (count <= FEW) for (let i = 0; i < count; i++) memory[at + i] = values[from + i]
  // Four times as fast as a loop, even where a view has to be created.
  else memory.set(values.length === count ? values : values.subarray(from, from + count), at)
}

/** Copies the first `count` values of a row of the shared memory out, to index `to` on. */
export function copyOut(row: Row, values: Float64Array, count: number, to = 0): void {
  const at = indexOf(row)
  if (count <= FEW) for (let i = 0; i < count; i++) values[to + i] = memory[at + i]
  else values.set(to === 0 && values.length === count ? cachedView(row, count) : viewOf(row, count), to)
}

/** Sets the first `count` values of a row of the shared memory to 0. */
export function clearRow(row: Row, count: number): void {
  memory.fill(0, indexOf(row), indexOf(row) + count)
}

/** A view of a row, for single values in and out: valid as long as the program runs. */
export function viewOf(row: Row, count: number, of: KernelInstance = shared): Float64Array {
  return of.memory.subarray(indexOf(row), indexOf(row) + count)
}

/** A view of bytes from a row's start on. */
export const bytesOf = (row: Row, length: number): Uint8Array => new Uint8Array(memory.buffer, row, length)

/** A view of 32-bit words from a row's start on. */
export const wordsOf = (row: Row, length: number): Uint32Array => new Uint32Array(memory.buffer, row, length)

/** Views of whole rows by address and length, because the same ones are needed block after block. */
const views = new Map<number, Float64Array>()

function cachedView(row: Row, count: number): Float64Array {
  const key = row * memory.length + count
  let view = views.get(key)
  if (view === undefined) {
    view = viewOf(row, count)
    views.set(key, view)
  }
  return view
}

/** Allocates rows for one caller, one after another from the start of free memory. */
export interface WorkRows {
  /**
   * A new row of `length` doubles, aligned to a vector and padded for what kernels write past its end.
   * @throws RangeError when the memory is full
   */
  row(length: number): Row
}

/**
 * Rows of different callers overlap, since none of them keeps anything in the memory.
 * @param of the instance that the rows belong to; this thread's own by default
 */
export function createWorkRows(of: KernelInstance = shared): WorkRows {
  let next = (16 * Math.ceil(of.kernels.freeFrom() / 16)) as Row
  return {
    row(length) {
      const row = next
      next = rowAt(row, 8 * Math.ceil(length / 8) + 8)
      if (indexOf(next) > of.memory.length) {
        throw new RangeError(`a row of ${length} doubles does not fit into the memory of the kernels`)
      }
      return row
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
