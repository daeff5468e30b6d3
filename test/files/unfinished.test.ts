// What a killed program has left is swept by a later one; nothing else is.

import { spawnSync } from 'node:child_process'
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { createNewFile } from '../../app/files/new-file.ts'
import { createNewFolder, setAside } from '../../app/files/new-folder.ts'
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

/** Runs a program that begins a file and a folder and is killed in the middle. */
function killedInTheMiddle(): void {
  const source = `
    const { createNewFile } = await import(${JSON.stringify(join(import.meta.dirname, '../../app/files/new-file.ts'))})
    const { createNewFolder } = await import(${JSON.stringify(join(import.meta.dirname, '../../app/files/new-folder.ts'))})
    const { writeFileSync } = await import('node:fs')
    createNewFile(${JSON.stringify(join(work(), 'a.wav'))}).write(Buffer.from('half'), 0)
    writeFileSync(createNewFolder(${JSON.stringify(work())}).path + '/stem.wav', 'half')
    process.kill(process.pid, 'SIGKILL')`
  const run = spawnSync(PINNED_NODE, ['--input-type=module', '-e', source], { encoding: 'utf8' })
  expect(run.signal, run.stderr).toBe('SIGKILL')
}

describe('after a kill', () => {
  it('the file and the folder are swept, and so are their notes', () => {
    killedInTheMiddle()
    expect(readdirSync(work())).toHaveLength(2)
    sweep()
    expect(readdirSync(work())).toEqual([])
    expect(readdirSync(journal)).toEqual([])
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

it('what a running program writes is left alone, and its notes are gone when it is whole', () => {
  const file = createNewFile(join(work(), 'a'))
  const made = createNewFolder(work())
  expect(readdirSync(journal)).toHaveLength(2)
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

it('what was set aside is gone under its name and removed by a later program', () => {
  const path = join(work(), 'rotten')
  mkdirSync(path)
  setAside(path)
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
