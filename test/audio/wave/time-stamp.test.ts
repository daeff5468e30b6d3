// Time stamps of recordings are times of a day (EBU Tech 3285, 2.3: samples since midnight); what
// cannot be one is no time stamp, and never an error.

import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { formatOf, openTakeFile } from '../../../app/audio/open-take-file.ts'
import { encodeBroadcast } from '../../../app/audio/wave/broadcast.ts'
import { hasTool } from '../../require-tool.ts'
import { chunkBytes, fmtChunk, waveBytes } from '../../signals/wave-bytes.ts'
import { makeFolder } from '../outside-tools.ts'

const folder = makeFolder()
const DAY = 24 * 3600 * 48_000
/** Where the 64 bits stand in a bext chunk (Tech 3285, 2.3). */
const TIME_REFERENCE_BYTE = 338

function stamped(samples: bigint): string {
  const bext = encodeBroadcast({
    description: '',
    originator: '',
    originatorReference: '',
    originationDate: '',
    originationTime: '',
    timeReferenceSamples: 0,
    codingHistory: '',
  })
  bext.writeBigUInt64LE(samples, TIME_REFERENCE_BYTE)
  const path = join(folder, `${samples}.wav`)
  writeFileSync(
    path,
    waveBytes([chunkBytes('bext', bext), fmtChunk(), chunkBytes('data', Buffer.alloc(9600))]),
  )
  return path
}

const STAMPS: readonly (readonly [bigint, number | null])[] = [
  [0n, 0],
  [172_800_000n, 172_800_000],
  [BigInt(DAY) - 1n, DAY - 1],
  [BigInt(DAY), null],
  [10n ** 15n, null],
  [2n ** 63n, null],
  [2n ** 64n - 1n, null],
]

describe('a time stamp', () => {
  it.each(STAMPS)('of %d samples', async (samples, read) => {
    const source = openAudioFile(stamped(samples))
    source.close()
    expect(source.format.timeReferenceSamples).toBe(read)
  })

  it.skipIf(!hasTool('flac')).each(STAMPS)(
    'of %d samples, kept in FLAC and in its working copy',
    async (samples, read) => {
      const path = join(folder, `${samples}.flac`)
      execFileSync('flac', ['-s', '-f', '--keep-foreign-metadata', stamped(samples), '-o', path])
      const copy = await openTakeFile(path, `${samples}`, join(folder, 'copies'), () => {})
      expect(copy.format.timeReferenceSamples).toBe(read)
      expect(formatOf(path, copy.format).timeReferenceSamples).toBe(read)
      copy.close()
    },
  )
})
