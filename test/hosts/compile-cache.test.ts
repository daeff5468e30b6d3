// Where the launcher has Node keep compiled code: in a folder that nobody but the user can write in, or nowhere.
// Whoever can write there runs code as the user.

import { execFile } from 'node:child_process'
import {
  chmodSync,
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { LAUNCHER, PINNED_NODE } from './run-takeloft.ts'

/** Home, shared temporary folder and cache folder of a user who has never started it. */
let root: string
const at = (...names: string[]): string => join(root, ...names)
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'takeloft-user-'))
  for (const name of ['home', 'shared', 'cache']) mkdirSync(at(name))
  chmodSync(at('shared'), 0o1777)
})
afterEach(() => rmSync(root, { recursive: true, force: true }))

async function start(more: Readonly<Record<string, string>> = {}): Promise<void> {
  const { NODE_COMPILE_CACHE: _, XDG_CACHE_HOME: __, ...inherited } = process.env
  const env = { ...inherited, HOME: at('home'), TMPDIR: at('shared'), ...more }
  const { stdout } = await promisify(execFile)(PINNED_NODE, [LAUNCHER, '--version'], { env })
  expect(stdout).toMatch(/^\d+\.\d+\.\d+\n$/)
}
const filesIn = (folder: string): string[] =>
  existsSync(folder)
    ? readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((one) => one.isFile())
        .map(({ name }) => name)
    : []
const modeOf = (path: string): string => (statSync(path).mode & 0o7777).toString(8)

describe.skipIf(process.platform === 'win32' || process.platform === 'darwin')('compiled code', () => {
  it('is kept in the user’s own cache folder, which nobody else may enter', async () => {
    await start({ XDG_CACHE_HOME: at('cache') })
    expect(filesIn(at('cache', 'Takeloft', 'compiled')).length).toBeGreaterThan(0)
    expect(modeOf(at('cache', 'Takeloft'))).toBe('700')
    expect(modeOf(at('cache', 'Takeloft', 'compiled'))).toBe('700')
    expect(readdirSync(at('shared'))).toEqual([])
  })

  it.each([
    ['nothing is said', {}],
    ['what is said is no whole path', { XDG_CACHE_HOME: 'cache' }],
  ])('is kept in the home folder where %s', async (_what, env) => {
    await start(env)
    expect(filesIn(at('home', '.cache', 'Takeloft', 'compiled')).length).toBeGreaterThan(0)
    expect(readdirSync(at('shared'))).toEqual([])
  })

  it('is kept where the user says', async () => {
    await start({ XDG_CACHE_HOME: at('cache'), NODE_COMPILE_CACHE: at('own') })
    expect(filesIn(at('own')).length).toBeGreaterThan(0)
    expect(readdirSync(at('cache'))).toEqual([])
  })

  it('is not looked for where others could have put it', async () => {
    mkdirSync(at('shared', 'node-compile-cache'))
    await start({ XDG_CACHE_HOME: at('cache') })
    expect(filesIn(at('shared'))).toEqual([])
  })

  const own = (): string => at('cache', 'Takeloft')
  const compiled = (): string => at('cache', 'Takeloft', 'compiled')
  it.each<[string, () => void]>([
    ['others may write in it', () => makeFolder(compiled(), 0o777)],
    ['its group may write in it', () => makeFolder(compiled(), 0o770)],
    ['others may write above it', () => makeFolder(own(), 0o777)],
    ['others may replace the cache folder', () => chmodSync(root, 0o777)],
    [
      'it is a link',
      () => {
        makeFolder(own(), 0o700)
        makeFolder(at('elsewhere'), 0o700)
        symlinkSync(at('elsewhere'), compiled())
      },
    ],
    [
      'the folder above is a link',
      () => {
        makeFolder(at('elsewhere'), 0o700)
        symlinkSync(at('elsewhere'), own())
      },
    ],
    [
      'it is a file',
      () => {
        makeFolder(own(), 0o700)
        writeFileSync(compiled(), '')
      },
    ],
    ['there is a file in place of the cache folder', () => replaceByFile(at('cache'))],
  ])('is kept nowhere when %s', async (_why, arrange) => {
    arrange()
    const before = filesIn(root)
    await start({ XDG_CACHE_HOME: at('cache') })
    expect(filesIn(root)).toEqual(before)
  })

  it.skipIf(process.getuid?.() !== 0)('is kept nowhere when the folder is somebody else’s', async () => {
    makeFolder(own(), 0o700)
    makeFolder(compiled(), 0o755)
    chownSync(compiled(), 65_534, 65_534)
    await start({ XDG_CACHE_HOME: at('cache') })
    expect(filesIn(root)).toEqual([])
  })
})

function makeFolder(path: string, mode: number): void {
  mkdirSync(path, { recursive: true })
  // What mkdir is told loses what the process masks.
  chmodSync(path, mode)
}

function replaceByFile(path: string): void {
  rmSync(path, { recursive: true })
  writeFileSync(path, '')
}
