// Every file that cannot be used gives a Failure with its code and a sentence that names
// the file and what is wrong.

import { execFileSync } from 'node:child_process'
import { chmodSync, mkdirSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { refuseUnreadable } from '../../app/audio/open-take-file.ts'
import { Failure, type FailureCode } from '../../app/contract/failure.ts'
import { hasTool } from '../require-tool.ts'
import { aiffBytes, chunkBytes, commChunk, fmtChunk, soundChunk, waveBytes } from '../signals/wave-bytes.ts'
import { ffmpeg, makeFolder } from './outside-tools.ts'

const folder = makeFolder()
const second = Buffer.alloc(96_000, 0x81)
const whole = waveBytes([fmtChunk(), chunkBytes('data', second)])

function failureOf(act: () => unknown): Failure {
  try {
    act()
  } catch (error) {
    if (error instanceof Failure) return error
    throw error
  }
  throw new Error('nothing was refused')
}

async function expectRefused(path: string, code: FailureCode, says: RegExp): Promise<void> {
  const failure = failureOf(() => openAudioFile(path))
  expect(failure).toMatchObject({ code, message: expect.stringMatching(says) })
  expect(failure.message).toContain(path)
  expect(failureOf(() => refuseUnreadable(path))).toMatchObject({ code })
}

const CRAFTED: readonly [what: string, bytes: Uint8Array, code: FailureCode, says: RegExp][] = [
  ['an empty file', Buffer.alloc(0), 'empty', /empty \(0 bytes\)/],
  [
    'a file of which not one frame is there',
    waveBytes([fmtChunk({ channels: 2 }), chunkBytes('data', second)]).subarray(0, 47),
    'damaged',
    /is cut short: its header promises 0\.50 s and none of it can be read; copy it again/,
  ],
  ['a header cut short', whole.subarray(0, 30), 'damaged', /format \(fmt\) chunk is cut short/],
  ['a header alone', whole.subarray(0, 44), 'damaged', /cut short/],
  ['no sound chunk', waveBytes([fmtChunk()]), 'damaged', /audio \(data\) chunk is missing/],
  ['no fmt chunk', waveBytes([chunkBytes('data', second)]), 'damaged', /format \(fmt\) chunk is missing/],
  [
    'a data chunk of 0 bytes',
    waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(0))]),
    'empty',
    /no sound/,
  ],
  [
    'a data chunk of 0 bytes and then LIST',
    waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(0)), chunkBytes('LIST', Buffer.alloc(4))]),
    'empty',
    /no sound/,
  ],
  [
    'ds64 cut short',
    waveBytes([chunkBytes('ds64', Buffer.alloc(20)), fmtChunk(), chunkBytes('data', second)], 'RF64'),
    'damaged',
    /ds64/,
  ],
  [
    '0 channels',
    waveBytes([fmtChunk({ channels: 0, frameBytes: 2 }), chunkBytes('data', second)]),
    'damaged',
    /0 channels/,
  ],
  [
    '33 channels',
    waveBytes([fmtChunk({ channels: 33 }), chunkBytes('data', second)]),
    'not-supported',
    /33 channels/,
  ],
  ['0 Hz', waveBytes([fmtChunk({ sampleRateHz: 0 }), chunkBytes('data', second)]), 'damaged', /0 Hz/],
  [
    '800 kHz',
    waveBytes([fmtChunk({ sampleRateHz: 800_000 }), chunkBytes('data', second)]),
    'not-supported',
    /800000 Hz/,
  ],
  [
    'frames of 0 bytes',
    waveBytes([fmtChunk({ frameBytes: 0 }), chunkBytes('data', second)]),
    'damaged',
    /16 bits in 0 bytes/,
  ],
  [
    'more bits than bytes',
    waveBytes([fmtChunk({ bits: 24, frameBytes: 2 }), chunkBytes('data', second)]),
    'damaged',
    /24 bits in 2 bytes/,
  ],
  [
    'floats of 16 bits',
    waveBytes([fmtChunk({ tag: 3, bits: 16 }), chunkBytes('data', second)]),
    'damaged',
    /16 bits in 2 bytes/,
  ],
  [
    'ADPCM (Microsoft) in WAV',
    waveBytes([fmtChunk({ tag: 2, bits: 4 }), chunkBytes('data', second)]),
    'not-supported',
    /ADPCM \(Microsoft\) \(format tag 0002h\)/,
  ],
  [
    'MP3 in WAV',
    waveBytes([fmtChunk({ tag: 0x55 }), chunkBytes('data', second)]),
    'not-supported',
    /MP3 \(format tag 0055h\)/,
  ],
  [
    'an unknown tag',
    waveBytes([fmtChunk({ tag: 0x4321 }), chunkBytes('data', second)]),
    'not-supported',
    /unknown format \(tag 4321h\)/,
  ],
  [
    'mu-law in an extensible header',
    waveBytes([fmtChunk({ guidTag: 7, bits: 8 }), chunkBytes('data', second)]),
    'not-supported',
    /mu-law \(format tag 0007h\)/,
  ],
  [
    'one byte per sample for 16 bits',
    waveBytes([fmtChunk({ frameBytes: 1 }), chunkBytes('data', second)]),
    'damaged',
    /says 16 bits in 1 byte per sample;/,
  ],
  [
    'AIFF of which not one frame is there',
    aiffBytes([commChunk({ channels: 2, frames: 24_000, bits: 16 }), soundChunk(second)], 'AIFF').subarray(
      0,
      12 + 26 + 16 + 3,
    ),
    'damaged',
    /is cut short: its header promises 0\.50 s and none of it can be read/,
  ],
  [
    'AIFF with no sound',
    aiffBytes([commChunk({ channels: 1, frames: 0, bits: 16 })], 'AIFF'),
    'empty',
    /no sound/,
  ],
  ['AIFF without COMM', aiffBytes([soundChunk(second)], 'AIFF'), 'damaged', /COMM/],
  [
    'AIFF without SSND',
    aiffBytes([commChunk({ channels: 1, frames: 9, bits: 16 })], 'AIFF'),
    'damaged',
    /SSND/,
  ],
  [
    'AIFF of 0 channels',
    aiffBytes([commChunk({ channels: 0, frames: 9, bits: 16 }), soundChunk(second)], 'AIFF'),
    'damaged',
    /0 channels/,
  ],
  [
    'AIFF of 0 Hz',
    aiffBytes(
      [
        commChunk({ channels: 1, frames: 9, bits: 16, extendedRate: '00000000000000000000' }),
        soundChunk(second),
      ],
      'AIFF',
    ),
    'damaged',
    /0 Hz/,
  ],
  [
    'AIFF of infinite rate',
    aiffBytes(
      [
        commChunk({ channels: 1, frames: 9, bits: 16, extendedRate: '7fff8000000000000000' }),
        soundChunk(second),
      ],
      'AIFF',
    ),
    'damaged',
    /is damaged: its header does not say a sample rate; export/,
  ],
  [
    'IMA ADPCM in AIFF-C',
    aiffBytes([commChunk({ channels: 1, frames: 9, bits: 16, type: 'ima4' }), soundChunk(second)], 'AIFC'),
    'not-supported',
    /ADPCM \(IMA 4:1\)/,
  ],
  ['text', Buffer.from('Frequency,Gain\n20,-3\n'.repeat(9)), 'not-audio', /looks like text/],
  ['zeros', Buffer.alloc(5000), 'not-audio', /zeros/],
  [
    'random bytes',
    Buffer.from([0x9c, 1, 7, 200, 3, 99, 0, 14]),
    'not-audio',
    /no audio format that Takeloft knows/,
  ],
  ['an AVI', Buffer.from('RIFF\x10\0\0\0AVI LIST', 'latin1'), 'not-audio', /AVI video/],
  ['big-endian WAVE', Buffer.from('RIFX\x10\0\0\0WAVEfmt ', 'latin1'), 'not-audio', /RIFX/],
  ['one byte', Buffer.from('R'), 'not-audio', /looks like text/],
]

describe('refusals', () => {
  it.each(CRAFTED)('%s', async (_what, bytes, code, says) => {
    const path = join(folder, 'take.wav')
    writeFileSync(path, bytes)
    await expectRefused(path, code, says)
  })

  it('a file that is not there', () => expectRefused(join(folder, 'gone.wav'), 'not-found', /no file/))

  it('a folder', async () => {
    const path = join(folder, 'folder.wav')
    mkdirSync(path)
    await expectRefused(path, 'not-readable', /is a folder/)
  })

  it('a named pipe, without waiting for it', async () => {
    const path = join(folder, 'pipe.wav')
    execFileSync('mkfifo', [path])
    await expectRefused(path, 'not-readable', /not an ordinary file/)
  })

  // Root may read everything, so there this is shown by the mapping alone (file-failures).
  it.runIf(process.getuid?.() !== 0)('a file without permission', async () => {
    const path = join(folder, 'secret.wav')
    writeFileSync(path, whole)
    chmodSync(path, 0)
    await expectRefused(path, 'not-readable', /this user has no permission/)
  })

  it('a file that becomes shorter after it was opened is a Failure, not silence', () => {
    const path = join(folder, 'shrinks.wav')
    writeFileSync(path, waveBytes([fmtChunk(), chunkBytes('data', Buffer.alloc(1 << 20))]))
    const source = openAudioFile(path)
    truncateSync(path, 1000)
    const failure = failureOf(() => source.read(400_000, 10, [new Float64Array(10)]))
    expect(failure).toMatchObject({ code: 'changed', message: expect.stringContaining(path) })
    source.close()
  })
})

describe.skipIf(!hasTool('ffmpeg'))('files by FFmpeg that are refused', () => {
  it.each([
    ['mp3.wav', ['-c:a', 'libmp3lame', '-f', 'mp3'], 'not-audio', /looks like an MP3 file/],
    [
      'bare-mp3.wav',
      ['-c:a', 'libmp3lame', '-f', 'mp3', '-id3v2_version', '0', '-write_xing', '0'],
      'not-audio',
      /looks like an MP3 file/,
    ],
    ['aac.wav', ['-c:a', 'aac', '-f', 'adts'], 'not-audio', /looks like an AAC file/],
    ['m4a.wav', ['-c:a', 'aac', '-f', 'ipod'], 'not-audio', /MPEG-4/],
    ['ogg.wav', ['-c:a', 'flac', '-f', 'ogg'], 'not-audio', /Ogg/],
    ['caf.wav', ['-c:a', 'pcm_s16le', '-f', 'caf'], 'not-audio', /CAF/],
    ['w64.wav', ['-c:a', 'pcm_s16le', '-f', 'w64'], 'not-audio', /Wave64/],
    ['adpcm.wav', ['-c:a', 'adpcm_ms'], 'not-supported', /ADPCM \(Microsoft\)/],
    ['ima.wav', ['-c:a', 'adpcm_ima_wav'], 'not-supported', /ADPCM \(IMA\)/],
    ['alaw.wav', ['-c:a', 'pcm_alaw'], 'not-supported', /A-law/],
    ['mp3-in.wav', ['-c:a', 'libmp3lame', '-f', 'wav'], 'not-supported', /MP3 \(format tag 0055h\)/],
    ['ulaw.aifc', ['-c:a', 'pcm_mulaw', '-f', 'aiff'], 'not-supported', /mu-law/],
  ] as const)('%s', async (name, args, code, says) => {
    const path = join(folder, name)
    ffmpeg('-f', 'lavfi', '-i', 'sine=d=1', ...args, path)
    await expectRefused(path, code, says)
  })
})
