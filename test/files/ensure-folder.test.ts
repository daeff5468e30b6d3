// Folders that can be made, and the sentences about those that cannot.

import { existsSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { ensureFolder } from '../../app/files/ensure-folder.ts'
import { makeFolder } from '../audio/outside-tools.ts'

const folder = makeFolder()

describe('a folder for what is written', () => {
  it('is made with those above it, and left alone where it is', () => {
    const path = join(folder, 'a', 'b', 'c')
    ensureFolder(path)
    ensureFolder(path)
    expect(statSync(path).isDirectory()).toBe(true)
  })

  it('cannot be a file, or lie in one', () => {
    const file = join(folder, 'take.wav')
    writeFileSync(file, 'bytes')
    expect(() => ensureFolder(file)).toThrow(
      expect.objectContaining({
        code: 'not-writable',
        message: `${file} is a file, not a folder; choose a folder.`,
      }),
    )
    for (const path of [join(file, 'stems'), join(file, 'stems', 'today')]) {
      expect(() => ensureFolder(path)).toThrow(expect.objectContaining({ code: 'not-writable' }))
    }
  })

  // Linux's /proc answers ENOENT to mkdir in a folder that is there, as some automounters do.
  it.skipIf(!existsSync('/proc/self'))(
    'is refused, and not tried for ever, where the system makes none',
    () => {
      for (const path of ['/proc/stems', '/proc/stems/today']) {
        expect(() => ensureFolder(path)).toThrow(
          expect.objectContaining({
            code: 'not-writable',
            message: 'No folder can be made in /proc; choose another.',
          }),
        )
      }
    },
  )
})
