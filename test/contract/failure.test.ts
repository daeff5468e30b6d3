// Whatever is thrown crosses a border as data; an error of the operating system as a plain sentence.

import { mkdirSync, readdirSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { Failure, failureDataOf } from '../../app/contract/failure.ts'

function thrownBy(act: () => unknown): unknown {
  try {
    act()
  } catch (error) {
    return error
  }
  throw new Error('nothing was thrown')
}

/** As Node makes them. */
const ofSystem = (code: string, syscall: string, path: string): Error =>
  Object.assign(new Error(`${code}: permission denied, ${syscall} '${path}'`), {
    errno: -13,
    code,
    syscall,
    path,
  })

describe('an error of the operating system', () => {
  it.each([
    [
      'EACCES',
      'scandir',
      'not-readable',
      '/songs/working copies could not be listed (EACCES); give this user access to it, and try again.',
    ],
    [
      'EACCES',
      'mkdir',
      'not-writable',
      '/songs/working copies could not be created (EACCES); give this user access to it, and try again.',
    ],
    [
      'EIO',
      'unlink',
      'not-writable',
      '/songs/working copies could not be removed (EIO); check the disk, and try again.',
    ],
    [
      'ENOSPC',
      'new call',
      'not-writable',
      '/songs/working copies could not be used (ENOSPC); the disk is full, so free some space, and try again.',
    ],
  ])('%s of %s', (code, syscall, expected, message) => {
    expect(failureDataOf(ofSystem(code, syscall, '/songs/working copies'))).toEqual({
      code: expected,
      message,
      details: { path: '/songs/working copies', systemError: code },
    })
  })

  it('as Node throws them', () => {
    expect(failureDataOf(thrownBy(() => readdirSync('/none/here'))).message).toBe(
      '/none/here could not be listed (ENOENT); check that it is still there, and that its disk is connected, and try again.',
    )
    const long = `/${'a'.repeat(300)}`
    expect(failureDataOf(thrownBy(() => mkdirSync(long))).message).toMatch(
      /could not be created \(ENAMETOOLONG\); its name is too long, so choose a shorter one, and try again\.$/,
    )
  })
})

describe('anything else', () => {
  it('is a Failure as it is, or unexpected', () => {
    const failure = new Failure('empty', 'It is empty.', { path: '/a' }, ofSystem('EIO', 'read', '/a'))
    expect(failureDataOf(failure)).toEqual({
      code: 'empty',
      message: 'It is empty.',
      details: { path: '/a' },
    })
    for (const thrown of [new Error('ours'), Object.assign(new Error('ours'), { code: 'ERR_X' }), 'ours']) {
      expect(failureDataOf(thrown)).toEqual({
        code: 'unexpected',
        message: 'Something went wrong inside Takeloft: ours',
        details: {},
      })
    }
  })
})
