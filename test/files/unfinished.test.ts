// What a killed program has left is swept by a later one; nothing else is.

import { spawnSync } from 'node:child_process'
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { createFileInside, createNewFile } from '../../app/files/new-file.ts'
import { createNewFolder, moveAside } from '../../app/files/new-folder.ts'
import { sweepUnfinished } from '../../app/files/unfinished.ts'
import { makeFolder } from '../audio/outside-tools.ts'
import { PINNED_NODE } from '../hosts/run-takeloft.ts'

const root = makeFolder()
let folder: string
let journal: string
beforeEach(() => {
  folder = mkdtempSync(join(root, 'case-'))
  vi.stubEnv('XDG_CACHE_HOME', join(folder, 'cache'))
  journal = join(folder, 'cache', 'Takeloft', 'unfinished')
})
afterEach(() => vi.unstubAllEnvs())

const sweep = (isKept: (path: string) => boolean = () => false): void => sweepUnfinished(isKept)
const work = (): string => {
  const path = join(folder, 'work')
  mkdirSync(path, { recursive: true })
  return path
}

/** Runs a program that is killed after the given lines. */
function killedAfter(lines: string): void {
  const source = `
    const { createFileInside, createNewFile } = await import(${JSON.stringify(join(import.meta.dirname, '../../app/files/new-file.ts'))})
    const { createNewFolder } = await import(${JSON.stringify(join(import.meta.dirname, '../../app/files/new-folder.ts'))})
    ${lines}
    process.kill(process.pid, 'SIGKILL')`
  const run = spawnSync(PINNED_NODE, ['--input-type=module', '-e', source], { encoding: 'utf8' })
  expect(run.signal, run.stderr).toBe('SIGKILL')
}

/** Begins a file and a folder. */
const killedInTheMiddle = (): void =>
  killedAfter(`
    createNewFile(${JSON.stringify(join(work(), 'a.wav'))}).write(Buffer.from('half'), 0)
    createFileInside(createNewFolder(${JSON.stringify(work())}).path + '/stem.wav').write(Buffer.from('half'), 0)`)

describe('after a kill', () => {
  it('the file and the folder are swept, and so are their notes', () => {
    killedInTheMiddle()
    expect(readdirSync(work())).toHaveLength(2)
    sweep()
    expect(readdirSync(work())).toEqual([])
    expect(readdirSync(journal)).toEqual([])
  })

  it('what somebody else put into the folder stays there, and only the stems go', () => {
    killedInTheMiddle()
    const left = readdirSync(work()).find((name) => statSync(join(work(), name)).isDirectory()) ?? ''
    writeFileSync(join(work(), left, 'mine.wav'), 'mine')
    sweep()
    expect(readdirSync(work())).toEqual([left])
    expect(readdirSync(join(work(), left))).toEqual(['mine.wav'])
    expect(readdirSync(journal)).toEqual([])
  })

  it('a folder inside one of the program’s own is swept with it, at once', () => {
    killedAfter(`
      const own = createNewFolder(${JSON.stringify(work())}, 0o700, 'own').path
      createFileInside(createNewFolder(own).path + '/copy.wav').write(Buffer.from('half'), 0)`)
    // As a run without a catalogue sweeps, which leaves unfinished deliveries alone.
    sweep((path) => existsSync(path) && join(path, '..') !== work())
    expect(readdirSync(work())).toEqual([])
    expect(readdirSync(journal)).toEqual([])
  })

  it('a link under the name of the folder leads to nothing that is removed', () => {
    killedInTheMiddle()
    const left = readdirSync(work()).find((name) => statSync(join(work(), name)).isDirectory()) ?? ''
    const elsewhere = join(folder, 'elsewhere')
    renameSync(join(work(), left), elsewhere)
    symlinkSync(elsewhere, join(work(), left))
    sweep()
    expect(readdirSync(elsewhere)).toEqual(['stem.wav'])
  })

  it('a folder stays whole while something in it is to be kept, and goes once nothing is', () => {
    killedInTheMiddle()
    const isFolder = (path: string): boolean => statSync(path).isDirectory()
    sweep(isFolder)
    expect(readdirSync(work())).toHaveLength(1)
    expect(readdirSync(join(work(), readdirSync(work())[0]))).toEqual(['stem.wav'])
    sweep()
    expect(readdirSync(work())).toEqual([])
  })
})

describe('a folder that waits for a catalogue to take it in', () => {
  const catalogue = (name: string): string => join(folder, name)
  const leave = (): string => {
    killedAfter(`
      const made = createNewFolder(${JSON.stringify(work())})
      createFileInside(made.path + '/take.wav').write(Buffer.from('whole'), 0)
      made.commitForNow(${JSON.stringify(catalogue('mine.sqlite'))})`)
    return join(work(), readdirSync(work())[0])
  }

  it('is swept by a start with this catalogue only', () => {
    const left = leave()
    sweepUnfinished(() => false)
    sweepUnfinished(() => false, catalogue('another.sqlite'))
    expect(existsSync(left)).toBe(true)
    sweepUnfinished(() => false, catalogue('mine.sqlite'))
    expect(existsSync(left)).toBe(false)
    expect(readdirSync(journal)).toEqual([])
  })

  it('stays for good once that catalogue has it as a take', () => {
    const left = leave()
    sweepUnfinished((path) => path === left, catalogue('mine.sqlite'))
    sweepUnfinished(() => false, catalogue('mine.sqlite'))
    expect(existsSync(left)).toBe(true)
    expect(readdirSync(journal)).toEqual([])
  })

  it('is forgotten when it is gone', () => {
    rmSync(leave(), { recursive: true })
    sweepUnfinished(() => false)
    expect(readdirSync(journal)).toEqual([])
  })
})

it('what a running program writes is left alone, and its notes are gone when it is whole', () => {
  const file = createNewFile(join(work(), 'a'))
  const made = createNewFolder(work())
  // A note for each, and the list of the folder's files.
  expect(readdirSync(journal)).toHaveLength(3)
  sweep()
  file.write(Buffer.from('whole'), 0)
  file.commit()
  made.commit(join(work(), 'b'))
  expect(readdirSync(work()).sort()).toEqual(['a', 'b'])
  expect(readdirSync(journal)).toEqual([])
})

it('a note that names anything but a fresh name removes nothing', () => {
  mkdirSync(journal, { recursive: true })
  const take = join(work(), 'take.wav')
  writeFileSync(take, 'take')
  for (const [n, entry] of [
    { path: take, host: 'elsewhere', pid: 999_999_999 },
    { path: work(), host: 'elsewhere', pid: 999_999_999 },
    'not an entry',
  ].entries()) {
    writeFileSync(join(journal, `${n}.json`), JSON.stringify(entry))
  }
  sweep()
  expect(readFileSync(take, 'utf8')).toBe('take')
})

it('a list whose note is gone is removed, and the list of a running program stays', () => {
  const made = createNewFolder(work())
  createFileInside(join(made.path, 'stem.wav'))
  const [kept] = readdirSync(journal).filter((name) => name.endsWith('.files'))
  writeFileSync(join(journal, `.takeloft-${'0'.repeat(24)}.files`), '"stem.wav"\n')
  sweep()
  expect(readdirSync(journal).filter((name) => name.endsWith('.files'))).toEqual([kept])
  made.discard()
})

it('what was set aside is gone under its name and removed by a later program', () => {
  const path = join(work(), 'rotten')
  mkdirSync(path)
  moveAside(path)
  expect(existsSync(path)).toBe(false)
  const [name] = readdirSync(work())
  const [note] = readdirSync(journal)
  const entry = JSON.parse(readFileSync(join(journal, note), 'utf8'))
  expect(entry.path).toBe(join(work(), name))
  writeFileSync(join(journal, note), JSON.stringify({ ...entry, pid: 999_999_999 }))
  sweep()
  expect(readdirSync(work())).toEqual([])
})

it('the notes are their user’s alone', () => {
  createNewFile(join(work(), 'a'))
  expect(statSync(journal).mode & 0o077).toBe(0)
  expect(statSync(join(journal, readdirSync(journal)[0])).mode & 0o077).toBe(0)
})

it('without a place for notes the work goes on', () => {
  writeFileSync(join(folder, 'cache'), 'a file where the folder should be')
  const file = createNewFile(join(work(), 'a'))
  file.commit()
  expect(readdirSync(work())).toEqual(['a'])
})

describe('a folder that is discarded', () => {
  it('leaves what somebody else put into it', () => {
    const made = createNewFolder(work())
    createFileInside(join(made.path, 'stem.wav')).write(Buffer.from('half'), 0)
    writeFileSync(join(made.path, 'mine.wav'), 'mine')
    made.discard()
    expect(readdirSync(made.path)).toEqual(['mine.wav'])
  })

  it('leaves another folder, or a link, that took its name', () => {
    for (const isLink of [false, true]) {
      const made = createNewFolder(work())
      createFileInside(join(made.path, 'stem.wav')).discard()
      renameSync(made.path, `${made.path}-away`)
      const other = join(folder, `other-${isLink}`)
      mkdirSync(other)
      writeFileSync(join(other, 'stem.wav'), 'mine')
      if (isLink) symlinkSync(other, made.path)
      else renameSync(other, made.path)
      made.discard()
      expect(readFileSync(join(made.path, 'stem.wav'), 'utf8')).toBe('mine')
    }
  })
})
