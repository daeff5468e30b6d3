// A disk without hard links, such as FAT: link(2) answers EPERM there.

import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it, vi } from 'vitest'
import { createNewFile } from '../../app/files/new-file.ts'
import { writeNewFile } from '../../app/files/write-file.ts'
import { makeFolder } from '../audio/outside-tools.ts'

const disk = vi.hoisted(() => ({ failRename: false }))

vi.mock('node:fs', async (importOriginal) => {
  const fs = await importOriginal<typeof import('node:fs')>()
  return {
    ...fs,
    linkSync: () => {
      throw Object.assign(new Error('EPERM: made to fail'), { code: 'EPERM' })
    },
    renameSync: (from: string, to: string) => {
      if (disk.failRename) throw Object.assign(new Error('EIO: made to fail'), { code: 'EIO' })
      fs.renameSync(from, to)
    },
  }
})

const root = makeFolder()

it('a new file gets its name there too', () => {
  const folder = join(root, 'new')
  mkdirSync(folder)
  writeNewFile(join(folder, 'a'), 'whole')
  expect(readdirSync(folder)).toEqual(['a'])
  expect(readFileSync(join(folder, 'a'), 'utf8')).toBe('whole')
})

it('what exists is left as it was', () => {
  const folder = join(root, 'old')
  mkdirSync(folder)
  const file = createNewFile(join(folder, 'a'))
  writeFileSync(join(folder, 'a'), 'take')
  expect(() => file.commit()).toThrow(expect.objectContaining({ code: 'conflict' }))
  expect(readdirSync(folder)).toEqual(['a'])
  expect(readFileSync(join(folder, 'a'), 'utf8')).toBe('take')
})

it('a rename that fails leaves neither the file nor its placeholder', () => {
  const folder = join(root, 'failing')
  mkdirSync(folder)
  disk.failRename = true
  expect(() => writeNewFile(join(folder, 'a'), 'whole')).toThrow(
    expect.objectContaining({ code: 'not-writable' }),
  )
  expect(readdirSync(folder)).toEqual([])
})
