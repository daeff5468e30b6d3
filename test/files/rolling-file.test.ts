// A text file that grows by appending, such as a log.

import {
  appendFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeEach, describe, expect, it } from 'vitest'
import { createRollingFile } from '../../app/files/rolling-file.ts'

const root = mkdtempSync(join(tmpdir(), 'takeloft-rolling-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))
let folder: string
beforeEach(() => {
  folder = mkdtempSync(join(root, 'files-'))
})
const read = (name: string): string => readFileSync(join(folder, name), 'utf8')
const modeOf = (path: string): number => statSync(path).mode & 0o777

describe('a rolling file', () => {
  const LIMITS = { mostBytes: 100, kept: 2 }

  it('never grows past its limit; so many full ones are kept, the newest first', () => {
    const file = createRollingFile(join(folder, 'a.log'), LIMITS)
    for (let k = 0; k < 20; k++) file.append(`${String(k).padStart(2, '0')}${'.'.repeat(37)}\n`)
    expect(readdirSync(folder).sort()).toEqual(['a.1.log', 'a.2.log', 'a.log'])
    const numbersIn = (name: string) => read(name).match(/\d\d/g)
    expect([numbersIn('a.2.log'), numbersIn('a.1.log'), numbersIn('a.log')]).toEqual([
      ['14', '15'],
      ['16', '17'],
      ['18', '19'],
    ])
    for (const name of readdirSync(folder)) expect(modeOf(join(folder, name))).toBe(0o600)
  })

  it('counts what an earlier start has left', () => {
    appendFileSync(join(folder, 'a.log'), 'x'.repeat(90))
    createRollingFile(join(folder, 'a.log'), LIMITS).append('y'.repeat(20))
    expect([read('a.1.log').length, read('a.log').length]).toEqual([90, 20])
  })

  it('takes an entry that is longer than its limit', () => {
    createRollingFile(join(folder, 'a.log'), LIMITS).append('x'.repeat(500))
    expect(read('a.log')).toHaveLength(500)
  })

  it('never writes through a link, and into nothing but an ordinary file', () => {
    writeFileSync(join(folder, 'take.wav'), 'take')
    symlinkSync('take.wav', join(folder, 'a.log'))
    mkdirSync(join(folder, 'b.log'))
    for (const name of ['a.log', 'b.log']) {
      expect(() => createRollingFile(join(folder, name), LIMITS).append('x'), name).toThrow(
        expect.objectContaining({ code: 'conflict' }),
      )
    }
    expect(read('take.wav')).toBe('take')
  })
})
