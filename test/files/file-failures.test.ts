// What the system's refusals become for the person at the desk.

import { mkdirSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readFailure, writeFailure } from '../../app/files/file-failures.ts'
import { openOrdinaryFile } from '../../app/files/open-ordinary-file.ts'
import { writeNewFile } from '../../app/files/write-file.ts'
import { makeFolder } from '../audio/outside-tools.ts'

const folder = makeFolder()
const withCode = (code: string): Error => Object.assign(new Error(code), { code })

describe('the sentences', () => {
  it.each(['EACCES', 'EPERM', 'EROFS', 'ENOENT', 'ENOTDIR', 'EISDIR', 'EFBIG', 'EMFILE'])(
    '%s is not-writable',
    (code) => {
      const failure = writeFailure(withCode(code), '/songs/out/lead.wav')
      expect(failure).toMatchObject({ code: 'not-writable', details: { systemError: code } })
      expect(failure.message).toContain('/songs/out')
    },
  )

  it.each([
    ['EACCES', 'not-readable'],
    ['ENOENT', 'not-found'],
    ['EIO', 'not-readable'],
    ['ENAMETOOLONG', 'invalid-input'],
  ])('reading: %s is %s', (code, expected) => {
    expect(readFailure(withCode(code), '/takes/a.wav').code).toBe(expected)
  })

  it('reading a folder names no kind of file, since manifests, chains and curves are read alike', () => {
    expect(readFailure(withCode('EISDIR'), '/stems').message).toBe(
      '/stems is a folder; choose a file inside it.',
    )
  })

  it('reading a name that no file system takes does not blame the disk', () => {
    const path = join(folder, `${'a'.repeat(300)}.wav`)
    expect(() => openOrdinaryFile(path, 'a recording')).toThrow(
      `${path} cannot be read because its name or path is too long; check the name.`,
    )
  })

  it('a folder that does not exist', () => {
    expect(() => writeNewFile(join(folder, 'none', 'a.json'), '')).toThrow(
      expect.objectContaining({ code: 'not-writable', message: expect.stringContaining('no folder') }),
    )
  })

  it('a folder in place of the file', () => {
    mkdirSync(join(folder, 'taken'))
    expect(() => writeNewFile(join(folder, 'taken'), '')).toThrow(
      expect.objectContaining({ code: 'conflict' }),
    )
    expect(readdirSync(folder)).toEqual(['taken'])
  })

  it('a name that no file system takes is said to be too long, not blamed on the disk', () => {
    const name = `${'ä'.repeat(140)}.wav`
    expect(() => writeNewFile(join(folder, name), '')).toThrow(
      expect.objectContaining({ code: 'invalid-input', message: expect.stringContaining('284 bytes') }),
    )
  })
})
