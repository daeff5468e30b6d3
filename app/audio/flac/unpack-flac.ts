// Decodes a FLAC file into a PCM WAVE working copy with the same samples, streamed. The decoded samples are
// checked against the MD5 that the encoder stored in the file (RFC 9639 section 8.2), unless the file is cut
// short: then its working copy has what is there.

import { createHash, type Hash } from 'node:crypto'
import { Failure } from '../../contract/failure.ts'
import { createFileInside } from '../../files/new-file.ts'
import { openInputFile } from '../input-file.ts'
import type { OnProgress } from '../on-progress.ts'
import { nothingLeft } from '../pcm-layout.ts'
import { createWaveWriter } from '../wave/wave-writer.ts'
import { decodeFlac, type FlacSpan, isCutShort } from './flac-decoding.ts'
import { type FlacHeader, readFlacHeader } from './flac-header.ts'

/**
 * Unpacks `path` to `wavPath` inside an unfinished folder (createNewFolder).
 * @param onProgress called with the fraction of the file that is done; see OnProgress
 * @throws Failure 'damaged', 'empty', 'not-supported', and those of reading and writing
 */
export async function unpackFlac(path: string, wavPath: string, onProgress: OnProgress): Promise<void> {
  const file = openInputFile(path)
  try {
    const header = readFlacHeader(file)
    const writer = createWaveWriter(
      wavPath,
      {
        sampleRateHz: header.sampleRateHz,
        channels: header.channels,
        encoding: header.encoding,
        ditherSeed: null,
        ...(header.broadcast ? { broadcast: header.broadcast } : {}),
      },
      createFileInside,
    )
    try {
      const md5 = createHash('md5')
      let last: FlacSpan | null = null
      let isJoined = true
      for await (const span of decodeFlac(file, header)) {
        hashSpan(md5, span, header.bits)
        writer.write(span.channels, span.frames)
        isJoined &&= last === null || follows(last, span)
        last = span
        await onProgress(span.done)
      }
      const frames = writer.framesWritten
      const isCut =
        last !== null && frames < (header.frames ?? 0) && isJoined && isCutShort(file, header, last)
      if (!isCut) checkComplete(path, header, frames, md5.digest('hex'))
      writer.finish()
    } catch (error) {
      writer.abort()
      throw error
    }
  } finally {
    file.close()
  }
}

/** Adds a span to the MD5: samples as interleaved, signed little-endian words (section 8.2). */
function hashSpan(md5: Hash, span: FlacSpan, bits: number): void {
  const channels = span.channels.length
  const sampleBytes = bits / 8
  const top = 2 ** (bits - 1)
  const bytes = new Uint8Array(span.frames * channels * sampleBytes)
  for (let channel = 0; channel < channels; channel++) {
    const samples = span.channels[channel]
    for (let i = 0, at = channel * sampleBytes; i < span.frames; i++, at += channels * sampleBytes) {
      const word = samples[i] * top
      bytes[at] = word
      if (sampleBytes > 1) bytes[at + 1] = word >> 8
      if (sampleBytes > 2) bytes[at + 2] = word >> 16
    }
  }
  md5.update(bytes)
}

/** Frames are numbered one by one or by their first sample (section 9.1.5); a gap is damage. */
const follows = (before: FlacSpan, { number }: FlacSpan): boolean =>
  number === before.number + 1 || number === before.number + before.frames

function checkComplete(path: string, header: FlacHeader, frames: number, md5: string): void {
  const presentSeconds = frames / header.sampleRateHz
  if (header.frames !== null && frames === 0) throw nothingLeft(path, header.frames / header.sampleRateHz)
  if (header.frames !== null && frames !== header.frames) {
    const promisedSeconds = header.frames / header.sampleRateHz
    throw new Failure(
      'damaged',
      `${path} is damaged: its header promises ${promisedSeconds.toFixed(2)} s and ${presentSeconds.toFixed(2)} s can be read; copy it again from its source.`,
      { path, promisedSeconds, presentSeconds },
    )
  }
  if (frames === 0) {
    throw new Failure('empty', `${path} has a header and no sound; record or export it again.`, { path })
  }
  if (header.md5 !== null && md5 !== header.md5) {
    throw new Failure(
      'damaged',
      `${path} is damaged: its sound does not match the checksum (MD5) in its header; copy it again from its source.`,
      { path, expectedMd5: header.md5, foundMd5: md5 },
    )
  }
}
