// A disk that fails on demand: wraps the calls of node:fs that change something, counts them,
// and makes the n-th one fail, once or from then on. For vi.mock('node:fs').

type Fs = typeof import('node:fs')

export interface FailingDisk {
  calls: number
  /** Which call fails; 0: none. */
  failAt: number
  /** Whether every later call fails as well. */
  fromThenOn: boolean
  code: string
  /** Writes a third of what is asked for. */
  shortWrites: boolean
}

const WRITING = [
  'openSync',
  'fsyncSync',
  'closeSync',
  'linkSync',
  'unlinkSync',
  'renameSync',
  'mkdirSync',
  'rmSync',
] as const

/** The module with its changing calls wrapped. */
export function failingFs(fs: Fs, disk: FailingDisk): Fs {
  const turn = (): void => {
    disk.calls++
    const isDue = disk.fromThenOn ? disk.calls >= disk.failAt : disk.calls === disk.failAt
    if (disk.failAt > 0 && isDue) {
      throw Object.assign(new Error(`${disk.code}: made to fail`), { code: disk.code })
    }
  }
  const wrapped = Object.fromEntries(
    WRITING.map((name) => {
      const call = fs[name] as (...args: unknown[]) => unknown
      return [
        name,
        (...args: unknown[]) => {
          turn()
          return call(...args)
        },
      ]
    }),
  )
  return {
    ...fs,
    ...wrapped,
    writeSync: ((descriptor: number, bytes: Uint8Array, offset: number, length: number, position: number) => {
      turn()
      const count = disk.shortWrites ? Math.ceil(length / 3) : length
      return fs.writeSync(descriptor, bytes, offset, count, position)
    }) as Fs['writeSync'],
  }
}
