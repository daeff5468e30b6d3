// Mutants of sound files: each is read or refused with a Failure, and no more of it is read than a
// few times its size.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { readAiffLayout } from '../../app/audio/aiff-layout.ts'
import { decodeFlac } from '../../app/audio/flac/flac-decoding.ts'
import { readFlacHeader } from '../../app/audio/flac/flac-header.ts'
import { soundKindOf } from '../../app/audio/open-audio-file.ts'
import { createPcmSource } from '../../app/audio/pcm-source.ts'
import { encodeBroadcast } from '../../app/audio/wave/broadcast.ts'
import { readWaveLayout } from '../../app/audio/wave/wave-layout.ts'
import { hasTool } from '../require-tool.ts'
import { block, constantFrame, flacStart } from '../signals/flac-bytes.ts'
import {
  aiffBytes,
  chunkBytes,
  commChunk,
  ds64Chunk,
  fmtChunk,
  randomWords,
  soundChunk,
  waveBytes,
  words16,
} from '../signals/wave-bytes.ts'
import { type MemoryFile, memoryFile } from './memory-file.ts'
import { tryMutants } from './mutants.ts'
import { type Draw, mutatedBytes } from './mutate.ts'

const sound = words16(randomWords(16, 600, 3))
const bext = chunkBytes(
  'bext',
  encodeBroadcast({
    description: 'take',
    originator: 'x',
    originatorReference: '',
    originationDate: '2026-01-01',
    originationTime: '10:00:00',
    timeReferenceSamples: 48_000,
    codingHistory: 'A=PCM\r\n',
  }),
)

const WAVES = [
  waveBytes([fmtChunk(), chunkBytes('data', sound)]),
  waveBytes([
    bext,
    fmtChunk({ channels: 2 }),
    chunkBytes('LIST', Buffer.alloc(51)),
    chunkBytes('data', sound),
  ]),
  waveBytes([fmtChunk({ bits: 24, channels: 2, guidTag: 1 }), chunkBytes('data', sound)]),
  waveBytes([fmtChunk({ tag: 3, bits: 32 }), chunkBytes('data', sound)]),
  waveBytes([fmtChunk({ tag: 3, bits: 64 }), chunkBytes('data', sound)]),
  waveBytes(
    [ds64Chunk(1400, 1200, 600), fmtChunk(), chunkBytes('data', sound, { size: 0xffffffff })],
    'RF64',
  ),
]
const AIFFS = [
  aiffBytes([commChunk({ channels: 1, frames: 600, bits: 16 }), soundChunk(sound)], 'AIFF'),
  aiffBytes([commChunk({ channels: 2, frames: 200, bits: 24, type: 'NONE' }), soundChunk(sound)], 'AIFC'),
  aiffBytes([commChunk({ channels: 1, frames: 300, bits: 32, type: 'fl32' }), soundChunk(sound, 8)], 'AIFC'),
  aiffBytes([commChunk({ channels: 1, frames: 600, bits: 16, type: 'sowt' }), soundChunk(sound)], 'AIFC'),
]
const FLACS = [
  Buffer.concat([
    flacStart({ frames: 8 * 4096 }),
    ...Array.from({ length: 8 }, (_, k) => constantFrame(k, k)),
  ]),
  Buffer.concat([flacStart(), ...Array.from({ length: 3 }, (_, k) => constantFrame(k, -k))]),
  Buffer.concat([
    flacStart({}, [block(1, Buffer.alloc(40)), block(2, Buffer.concat([Buffer.from('riff'), bext]))]),
    constantFrame(0),
  ]),
  ...encodedFlac(),
]

/** What the reference encoder makes of noise and of a tone, where it is there. */
function encodedFlac(): Buffer[] {
  if (!hasTool('flac')) return []
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-fuzz-'))
  try {
    const tone = Array.from({ length: 3000 }, (_, n) => Math.round(9000 * Math.sin(n / 20)))
    return [WAVES[1], waveBytes([fmtChunk(), chunkBytes('data', words16(tone))])].map((wave, k) => {
      const path = join(folder, `${k}.wav`)
      writeFileSync(path, wave)
      return execFileSync('flac', ['-s', '-c', '--blocksize=576', path], {
        stdio: ['ignore', 'pipe', 'ignore'],
      })
    })
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

const ALL = [...WAVES, ...AIFFS, ...FLACS]

/** Its window may be filled once more than there is in the file. */
const MAX_READ_BEYOND = 1 << 20

async function readSound(file: MemoryFile): Promise<void> {
  const kind = soundKindOf(file)
  if (kind === 'flac') {
    const header = readFlacHeader(file)
    let frames = 0
    for await (const span of decodeFlac(file, header)) {
      expect(span.channels).toHaveLength(header.channels)
      expect(span.channels[0]).toHaveLength(span.frames)
      frames += span.frames
    }
    expect(frames).toBeGreaterThanOrEqual(0)
    return
  }
  const source = createPcmSource(file, kind === 'wave' ? readWaveLayout(file) : readAiffLayout(file))
  const { channels, frames } = source.format
  const into = Array.from({ length: channels }, () => new Float64Array(64))
  for (const start of [-10, 0, frames >> 1, frames - 30]) source.read(start, 64, into)
}

const tryBytes = (seeds: readonly Buffer[]) => async (draw: Draw) => {
  const mutant = mutatedBytes(draw.of(seeds), ALL, draw)
  const file = memoryFile(mutant)
  try {
    await readSound(file)
  } finally {
    expect(file.bytesRead).toBeLessThan(8 * mutant.length + MAX_READ_BEYOND)
  }
}

describe('mutants of sound files are read or refused', () => {
  it('the files that they are made of are read', async () => {
    for (const bytes of ALL) await readSound(memoryFile(Buffer.from(bytes)))
  })

  it.each([
    ['WAVE', WAVES],
    ['AIFF', AIFFS],
  ])('%s', async (_kind, seeds) => {
    const outcomes = await tryMutants(tryBytes(seeds))
    // Mutants that all fail at the door would say nothing about what is behind it.
    expect(outcomes.taken).toBeGreaterThan(0)
    expect(Object.keys(outcomes).length).toBeGreaterThan(3)
  })

  it('FLAC', async () => {
    const outcomes = await tryMutants(tryBytes(FLACS), 0.5)
    expect(outcomes.taken).toBeGreaterThan(0)
    expect(Object.keys(outcomes).length).toBeGreaterThan(2)
  })
})
