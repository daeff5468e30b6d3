// Every call of a write fails in turn, once and from then on: a Failure with its code, what was
// there before is as it was, and nothing half-written is under a final name or left behind.

import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { createWaveWriter } from '../../app/audio/wave/wave-writer.ts'
import { Failure } from '../../app/contract/failure.ts'
import { createFileInside } from '../../app/files/new-file.ts'
import { createNewFolder } from '../../app/files/new-folder.ts'
import { replaceOwnFile, writeNewFile } from '../../app/files/write-file.ts'
import { makeFolder } from '../audio/outside-tools.ts'
import type { FailingDisk } from './failing-disk.ts'

const disk = vi.hoisted(
  (): FailingDisk => ({ calls: 0, failAt: 0, fromThenOn: false, code: 'ENOSPC', shortWrites: false }),
)

vi.mock('node:fs', async (importOriginal) => {
  const { failingFs } = await import('./failing-disk.ts')
  return failingFs(await importOriginal(), disk)
})

const root = makeFolder()

interface Writer {
  /** Name, in the folder given, of what comes into being. */
  readonly makes: string
  /** What lies there before. */
  prepare?(folder: string): void
  write(folder: string): void
}

const OWN = 'OWN1 contents'
const isOwn = (head: Uint8Array): boolean => Buffer.from(head).toString('latin1', 0, 4) === 'OWN1'

function writeWave(path: string, create?: typeof createFileInside): void {
  const options = { sampleRateHz: 48000, channels: 1, encoding: 'pcm-24', ditherSeed: null } as const
  const writer = createWaveWriter(path, options, create)
  // Three full buffers, a rest, and an odd length for the pad byte.
  writer.write([new Float64Array(300_001).fill(0.25)], 300_001)
  writer.finish()
}

const WRITERS: Readonly<Record<string, Writer>> = {
  'a small file': {
    makes: 'new.json',
    write: (folder) => writeNewFile(join(folder, 'new.json'), '{"whole":true}'),
  },
  'a wave file': { makes: 'new.wav', write: (folder) => writeWave(join(folder, 'new.wav')) },
  'a replacement of an own file': {
    makes: 'own.bin',
    prepare: (folder) => writeFileSync(join(folder, 'own.bin'), `${OWN}, older`),
    write: (folder) => replaceOwnFile(join(folder, 'own.bin'), OWN, isOwn),
  },
  'a folder of two files': {
    makes: 'delivery',
    write(folder) {
      const fresh = createNewFolder(folder)
      try {
        writeWave(join(fresh.path, 'a.wav'), createFileInside)
        writeNewFile(join(fresh.path, 'b.json'), '{}', createFileInside)
        fresh.commit(join(folder, 'delivery'))
      } finally {
        fresh.discard()
      }
    },
  },
}

/** All files below a folder with their contents; folders without files are named too. */
function contentsOf(folder: string): Record<string, string> {
  return Object.fromEntries(
    readdirSync(folder, { recursive: true, withFileTypes: true }).map((entry) => {
      const path = join(entry.parentPath, entry.name)
      return [path.slice(folder.length), entry.isFile() ? readFileSync(path, 'latin1') : 'folder']
    }),
  )
}

function countCalls(writer: Writer, name: string): { calls: number; whole: Record<string, string> } {
  const folder = join(root, name)
  mkdirSync(folder)
  writer.prepare?.(folder)
  disk.calls = 0
  writer.write(folder)
  return { calls: disk.calls, whole: contentsOf(folder) }
}

function failWith(writer: Writer, folder: string, settings: Partial<FailingDisk>): unknown {
  Object.assign(disk, { calls: 0, ...settings })
  try {
    writer.write(folder)
    return null
  } catch (error) {
    return error
  } finally {
    Object.assign(disk, { failAt: 0, fromThenOn: false })
  }
}

describe.each(Object.entries(WRITERS))('%s', (what, writer) => {
  it.each([
    ['ENOSPC', 'disk-full'],
    ['EDQUOT', 'disk-full'],
    ['EIO', 'not-writable'],
    ['EROFS', 'not-writable'],
    ['EACCES', 'not-writable'],
    ['EMFILE', 'not-writable'],
  ])('with %s at any call: %s, the old or the new whole', (code, expected) => {
    const { calls, whole } = countCalls(writer, `${what} ${code}`)
    expect(calls).toBeGreaterThanOrEqual(5)
    let failures = 0
    for (let failAt = 1; failAt <= calls; failAt++) {
      for (const fromThenOn of [false, true]) {
        const folder = join(root, `${what} ${code} ${failAt} ${fromThenOn}`)
        mkdirSync(folder)
        writeFileSync(join(folder, 'bystander'), 'stays')
        writer.prepare?.(folder)
        const before = contentsOf(folder)
        const error = failWith(writer, folder, { failAt, fromThenOn, code })
        const { '/bystander': bystander, ...after } = contentsOf(folder)
        expect(bystander).toBe('stays')
        if (error === null) {
          // A call that does not decide: a note of unfinished work, a folder's sync, a second name.
          expect(withoutFresh(after), `call ${failAt}`).toEqual(whole)
          continue
        }
        failures++
        expect(error, `call ${failAt}`).toBeInstanceOf(Failure)
        expect(error).toMatchObject({ code: expected, message: expect.stringContaining(folder) })
        // What fails from then on cannot be tidied up either; it is under its unfinished name alone.
        const left = fromThenOn ? withoutFresh(after) : after
        expect({ '/bystander': bystander, ...left }, `call ${failAt}`).toEqual(before)
      }
    }
    expect(failures).toBeGreaterThanOrEqual(8)
  })

  it('a system that writes a third at a time gives the same bytes', () => {
    const { whole } = countCalls(writer, `${what} whole`)
    const folder = join(root, `${what} thirds`)
    mkdirSync(folder)
    writer.prepare?.(folder)
    disk.shortWrites = true
    try {
      writer.write(folder)
    } finally {
      disk.shortWrites = false
    }
    expect(contentsOf(folder)).toEqual(whole)
  })
})

const withoutFresh = (contents: Record<string, string>): Record<string, string> =>
  Object.fromEntries(Object.entries(contents).filter(([path]) => !path.startsWith('/.takeloft-')))
