// An error of the operating system on a thread comes out of the pool as a sentence.

import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { createPool } from '../../app/workers/pool.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../signals/wave-bytes.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-system-errors-'))
const pool = createPool()
afterAll(async () => {
  await pool.close()
  rmSync(folder, { recursive: true, force: true })
})

it('a folder for peaks that is a link to itself is named, and what to do', async () => {
  const path = join(folder, 'take.wav')
  writeFileSync(path, waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(9600, 0x11))]))
  const loop = join(folder, 'peaks')
  symlinkSync(loop, loop)
  const failure = await pool
    .run('measureTake', { path, workingFolder: folder, peaksFolder: loop }, {})
    .catch((error: unknown) => error)
  expect(failure).toBeInstanceOf(Failure)
  expect((failure as Failure).message).toMatch(
    /\/peaks\/\S+ could not be examined \(ELOOP\); a link in its path points back to itself, so remove that link, and try again\.$/,
  )
})
