// Opens a recording by its contents, not its name, or says why it cannot be opened.

import { Failure } from '../contract/failure.ts'
import { readAiffLayout } from './aiff-layout.ts'
import type { AudioSource } from './audio-source.ts'
import { HEAD_BYTES, looksLike, type ReadableKind, readableKindOf } from './content-kind.ts'
import { flacStartByte } from './flac/flac-header.ts'
import { type InputFile, openInputFile } from './input-file.ts'
import { createPcmSource } from './pcm-source.ts'
import { readWaveLayout } from './wave/wave-layout.ts'

/**
 * Opens a WAVE (RIFF, RF64, BW64), AIFF or AIFF-C file for reading. FLAC is unpacked
 * first: see openTakeFile.
 * @throws Failure 'not-found', 'not-readable', 'empty', 'damaged', 'not-supported', 'not-audio'
 */
export function openAudioFile(path: string): AudioSource {
  const file = openInputFile(path)
  try {
    const kind = soundKindOf(file)
    if (kind === 'flac') {
      throw new Failure(
        'not-supported',
        `${path} is a FLAC file; it has to be unpacked before spans of it can be read.`,
        {
          path,
        },
      )
    }
    return createPcmSource(file, kind === 'wave' ? readWaveLayout(file) : readAiffLayout(file))
  } catch (error) {
    file.close()
    throw error
  }
}

/** The container of an open file. @throws Failure 'not-audio' with what it looks like instead */
export function soundKindOf(file: InputFile): ReadableKind {
  const head = file.bytes(0, HEAD_BYTES)
  const kind = readableKindOf(head) ?? (flacStartByte(file) === null ? null : 'flac')
  if (kind !== null) return kind
  const seen = looksLike(head)
  throw new Failure(
    'not-audio',
    `${file.path} cannot be read: it looks like ${seen}; takes are WAV, AIFF or FLAC files, so export it as one of these.`,
    { path: file.path, looksLike: seen },
  )
}
