// Hashes of files against the examples of FIPS 180-4 and the system's sha256sum.

import { appendFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { hashFile } from '../../app/audio/sha256.ts'
import { MAX_TAKE_BYTES } from '../../app/contract/text/limits.ts'
import { hasTool } from '../require-tool.ts'
import { makeFolder, run } from './outside-tools.ts'

const folder = makeFolder()

function write(name: string, bytes: string | Uint8Array): string {
  const path = join(folder, name)
  writeFileSync(path, bytes)
  return path
}

describe('SHA-256 of a file', () => {
  it.each([
    ['abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
    ['', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
  ])('FIPS 180-4 example "%s"', async (text, expected) => {
    expect(await hashFile(write('example', text))).toBe(expected)
  })

  it.skipIf(!hasTool('sha256sum'))('3 MB as sha256sum has it, with progress to the end', async () => {
    const path = write('long', Buffer.alloc(3_000_000, 'takeloft'))
    const progress: number[] = []
    const hash = await hashFile(path, undefined, (done, total) => void progress.push(done / total))
    expect(hash).toBe(run('sha256sum', path).toString().slice(0, 64))
    expect(progress.length).toBeGreaterThan(1)
    expect(progress.at(-1)).toBe(1)
  })

  it('refuses a missing file and a folder', async () => {
    await expect(hashFile(join(folder, 'gone'))).rejects.toMatchObject({ code: 'not-found' })
    await expect(hashFile(folder)).rejects.toMatchObject({ code: 'not-readable' })
  })

  it('ends where the file ended when it was opened, and says that it has changed', async () => {
    const path = write('growing', Buffer.alloc(3_000_000))
    let spans = 0
    const hashing = hashFile(path, undefined, () => {
      spans++
      appendFileSync(path, Buffer.alloc(2_000_000))
    })
    await expect(hashing).rejects.toMatchObject({
      code: 'changed',
      message: `${path} changed length while it was being read; wait until it is completely written, then try again.`,
    })
    expect(spans).toBeLessThan(6)

    const shrinking = write('shrinking', Buffer.alloc(5_000_000))
    await expect(hashFile(shrinking, undefined, () => truncateSync(shrinking, 1000))).rejects.toMatchObject({
      code: 'changed',
    })
  })

  it('is not begun for more than a day of sound', async () => {
    const path = write('hole', 'RIFF')
    truncateSync(path, MAX_TAKE_BYTES + 1)
    await expect(hashFile(path)).rejects.toMatchObject({
      code: 'not-supported',
      message: `${path} is 271 GB, and a recording can be at most 270 GB; cut it into shorter files.`,
    })
  })

  it('stops when cancelled', async () => {
    const path = write('cancelled', Buffer.alloc(5_000_000))
    const control = new AbortController()
    await expect(hashFile(path, control.signal, () => control.abort())).rejects.toMatchObject({
      code: 'cancelled',
    })
    await expect(hashFile(path, AbortSignal.abort())).rejects.toMatchObject({ code: 'cancelled' })
  })
})
