// The n-th act of writing fails, for every n: a Failure with its code, nothing under the
// final name that was not there before, no part left.

import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { createWaveWriter } from '../../app/audio/wave-writer.ts'
import { Failure } from '../../app/contract/failure.ts'
import { readFailure, writeFailure } from '../../app/files/file-failures.ts'
import { writeFileSafely } from '../../app/files/safe-write.ts'
import { makeFolder } from '../audio/outside-tools.ts'

/** The acts of writing, counted; the one whose turn `failAt` names fails with `code`. */
const disk = vi.hoisted(() => ({ acts: 0, failAt: 0, code: 'ENOSPC', shortWrites: false }))

vi.mock('node:fs', async (importOriginal) => {
  const fs = await importOriginal<typeof import('node:fs')>()
  const failing = <Act extends (...args: never[]) => unknown>(act: Act): Act =>
    ((...args: Parameters<Act>) => {
      disk.acts++
      if (disk.acts === disk.failAt)
        throw Object.assign(new Error(`${disk.code}: made to fail`), { code: disk.code })
      return act(...args)
    }) as Act
  const writeSome = (
    descriptor: number,
    bytes: Uint8Array,
    offset: number,
    length: number,
    position: number,
  ) => fs.writeSync(descriptor, bytes, offset, disk.shortWrites ? Math.ceil(length / 3) : length, position)
  return {
    ...fs,
    openSync: failing(fs.openSync),
    writeSync: failing(writeSome),
    fsyncSync: failing(fs.fsyncSync),
    closeSync: failing((descriptor: number) => {
      fs.closeSync(descriptor)
    }),
    renameSync: failing(fs.renameSync),
  }
})

const folder = makeFolder()
afterEach(() => {
  disk.failAt = 0
  disk.shortWrites = false
})

function writeWave(path: string): void {
  const writer = createWaveWriter(path, {
    sampleRateHz: 48000,
    channels: 1,
    encoding: 'pcm-24',
    ditherSeed: null,
  })
  // Three full buffers, a rest, and an odd length for the pad byte.
  const block = [new Float64Array(300_001).fill(0.25)]
  writer.write(block, 300_001)
  writer.finish()
}

const ACTS: readonly [string, (path: string) => void][] = [
  ['a wave file', writeWave],
  ['a small file', (path) => writeFileSafely(path, '{"whole":true}')],
]

/** open, write(s), fsync, close, rename of the file; what follows makes the rename durable and may fail. */
function countActs(write: (path: string) => void, path: string): number {
  disk.acts = 0
  write(path)
  const syncOfFolder = 3
  return disk.acts - syncOfFolder
}

describe.each(ACTS)('%s', (what, write) => {
  it.each([
    ['ENOSPC', 'disk-full'],
    ['EDQUOT', 'disk-full'],
    ['EIO', 'not-writable'],
    ['EROFS', 'not-writable'],
  ])('with %s at any act: %s, and nothing is left', (code, expected) => {
    const own = join(folder, `${what} ${code}`)
    mkdirSync(own)
    const acts = countActs(write, join(own, 'before'))
    const before = readFileSync(join(own, 'before'))
    expect(acts).toBeGreaterThanOrEqual(5)
    for (let n = 1; n <= acts; n++) {
      // Once with no file of that name, once with an older one, which must stay as it was.
      for (const name of ['new', 'old']) {
        const path = join(own, name)
        if (name === 'old') writeFileSync(path, 'older contents')
        Object.assign(disk, { acts: 0, failAt: n, code })
        let failure: unknown
        try {
          write(path)
        } catch (error) {
          failure = error
        }
        disk.failAt = 0
        expect(failure, `act ${n}`).toBeInstanceOf(Failure)
        expect(failure).toMatchObject({ code: expected, message: expect.stringContaining(path) })
        expect(readdirSync(own).sort()).toEqual(name === 'old' ? ['before', 'old'] : ['before'])
        if (name === 'old') {
          expect(readFileSync(path, 'utf8')).toBe('older contents')
          rmSync(path)
        }
      }
    }
    expect(readFileSync(join(own, 'before')).equals(before)).toBe(true)
  })

  it('a system that writes a third at a time gives the same bytes', () => {
    const [path, other] = ['whole', 'thirds'].map((name) => join(folder, `${what} ${name}`))
    write(path)
    disk.shortWrites = true
    write(other)
    expect(readFileSync(other).equals(readFileSync(path))).toBe(true)
  })
})

describe('the sentences', () => {
  it.each(['EACCES', 'EPERM', 'EROFS', 'ENOENT', 'ENOTDIR', 'EISDIR', 'EFBIG', 'EMFILE'])(
    '%s is not-writable',
    (code) => {
      const failure = writeFailure(Object.assign(new Error(code), { code }), '/songs/out/lead.wav')
      expect(failure).toMatchObject({ code: 'not-writable', details: { systemError: code } })
      expect(failure.message).toContain('/songs/out')
    },
  )

  it.each([
    ['EACCES', 'not-readable'],
    ['ENOENT', 'not-found'],
    ['EIO', 'not-readable'],
  ])('reading: %s is %s', (code, expected) => {
    expect(readFailure(Object.assign(new Error(code), { code }), '/takes/a.wav').code).toBe(expected)
  })

  it('reading a folder names no kind of file, since manifests, chains and curves are read alike', () => {
    expect(readFailure(Object.assign(new Error('EISDIR'), { code: 'EISDIR' }), '/stems').message).toBe(
      '/stems is a folder; choose a file inside it.',
    )
  })

  it('a folder that does not exist', () => {
    expect(() => writeFileSafely(join(folder, 'none', 'a.json'), '')).toThrow(
      expect.objectContaining({ code: 'not-writable', message: expect.stringContaining('no folder') }),
    )
  })

  it('a folder in place of the file', () => {
    mkdirSync(join(folder, 'taken'))
    expect(() => writeFileSafely(join(folder, 'taken'), '')).toThrow(
      expect.objectContaining({ code: 'not-writable' }),
    )
    expect(readdirSync(folder)).not.toContain('taken.part')
  })

  it('a writer that has ended neither writes on nor touches the part of the next one', () => {
    const path = join(folder, 'next.wav')
    const options = { sampleRateHz: 48000, channels: 1, encoding: 'pcm-24', ditherSeed: null } as const
    const ended = createWaveWriter(path, options)
    ended.abort()
    const next = createWaveWriter(path, options)
    ended.abort()
    expect(() => ended.finish()).toThrow('already finished')
    next.finish()
    expect(readdirSync(folder)).toContain('next.wav')
  })

  it('abort leaves nothing, and does nothing after finish', () => {
    const path = join(folder, 'aborted.wav')
    const options = { sampleRateHz: 48000, channels: 1, encoding: 'pcm-24', ditherSeed: null } as const
    const writer = createWaveWriter(path, options)
    writer.write([new Float64Array(100)], 100)
    writer.abort()
    expect(readdirSync(folder).filter((name) => name.startsWith('aborted'))).toEqual([])
    const other = createWaveWriter(path, options)
    other.finish()
    other.abort()
    expect(readdirSync(folder).filter((name) => name.startsWith('aborted'))).toEqual(['aborted.wav'])
  })
})
