// The kernels' levels and gains, compiled for this test alone with doors from outside: the kernels call them
// only among themselves.

import { readFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import asc from 'assemblyscript/asc'
import { beforeAll, describe, expect, it } from 'vitest'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
const ENTRY = 'decibels-of-rows.ts'
/** AssemblyScript. */
const SOURCE = `
  import { dbFromTwoPowers, gainFromTwoDb } from './app/dsp/wasm/assembly/decibels'
  export const row: usize = memory.data(8192, 16)
  export function writeDbOfPowers(count: i32): void {
    for (let i = 0; i < count << 3; i += 16) {
      v128.store(row + i, inline.always(dbFromTwoPowers(v128.load(row + i))))
    }
  }
  export function writeGainsOfDb(count: i32): void {
    for (let i = 0; i < count << 3; i += 16) v128.store(row + i, inline.always(gainFromTwoDb(v128.load(row + i))))
  }
`

interface Doors {
  readonly memory: WebAssembly.Memory
  readonly row: WebAssembly.Global
  writeDbOfPowers(count: number): void
  writeGainsOfDb(count: number): void
}

let doors: Doors

beforeAll(async () => {
  doors = (await WebAssembly.instantiate(await compile(), {})).instance.exports as unknown as Doors
})

async function compile(): Promise<Uint8Array<ArrayBuffer>> {
  let bytes: Uint8Array<ArrayBuffer> | null = null
  const { error, stderr } = await asc.main(
    [
      ENTRY,
      ...['--outFile', 'out.wasm', '--baseDir', ROOT, '--runtime', 'stub', '--noAssert'],
      ...['--optimizeLevel', '3', '--converge', '--enable', 'simd', '--disableWarning', '112'],
    ],
    {
      readFile: async (name, baseDir) =>
        name === ENTRY ? SOURCE : await readFile(`${baseDir}/${name}`, 'utf8').catch(() => null),
      writeFile(_name, contents) {
        if (typeof contents !== 'string') bytes = new Uint8Array(contents)
      },
    },
  )
  if (error !== null || bytes === null) throw new Error(`The kernels do not compile:\n${stderr}`)
  return bytes
}

function through(kernel: (count: number) => void, values: readonly number[]): number[] {
  const view = new Float64Array(doors.memory.buffer, Number(doors.row.value), values.length)
  view.set(values)
  kernel(values.length)
  return [...view]
}

/** Evenly spread, and both sides of every place where the exponent changes. */
const spread = (from: number, to: number, count: number) =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1))

describe('levels and gains of the kernels', () => {
  it('levels of powers from 1e-30 to 1e30 are those of Math.log10 within 2e-13 dB', () => {
    const powers = [
      ...spread(-30, 30, 800).map((exponent) => 10 ** exponent),
      ...spread(-50, 50, 101).flatMap((octave) => [2 ** octave, 2 ** octave * (1 - 2 ** -53)]),
    ]
    const worst = through(doors.writeDbOfPowers, powers).reduce(
      (most, db, i) => Math.max(most, Math.abs(db - 10 * Math.log10(powers[i]))),
      0,
    )
    expect(worst).toBeLessThan(2e-13)
  })

  it('gains of -120 to 120 dB are those of Math.exp within 1e-14 of themselves', () => {
    const levels = spread(-120, 120, 1000)
    const worst = through(doors.writeGainsOfDb, levels).reduce((most, gain, i) => {
      const wanted = Math.exp((levels[i] * Math.LN10) / 20)
      return Math.max(most, Math.abs(gain / wanted - 1))
    }, 0)
    expect(worst).toBeLessThan(1e-14)
  })

  it('0 dB is a gain of exactly 1', () => {
    expect(through(doors.writeGainsOfDb, [0, -0])).toEqual([1, 1])
  })
})
