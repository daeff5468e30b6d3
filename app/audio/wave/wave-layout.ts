// Reads the header of a WAVE file (RIFF, RF64 or BW64, chunks in any order). Chunks as in EBU Tech
// 3285 appendix A; sizes above 4 GiB as in ITU-R BS.2088 sections 2.4, 3.2 and 4.

import { Failure } from '../../contract/failure.ts'
import { textAt } from '../content-kind.ts'
import { bytesBehindChunks, type Chunk, chunksOf, isChunkHeader } from '../file-chunks.ts'
import type { InputFile } from '../input-file.ts'
import { checkedFrames, emptyFailure, type PcmLayout } from '../pcm-layout.ts'
import { type BroadcastInfo, decodeBroadcast, timeStampOf } from './broadcast.ts'
import { readWaveFormat, type WaveFormat } from './wave-format.ts'

const IN_DS64 = 0xffffffff
const DS64_LEAST_BYTES = 28
/** Room for the fixed part and a very long coding history. */
const BEXT_MOST_BYTES = 1 << 20

/** @throws Failure 'damaged', 'empty' or 'not-supported' */
export function readWaveLayout(file: InputFile): PcmLayout {
  const outer = textAt(file.bytes(0, 4), 0, 4)
  const longSizes = new Map<string, number>()
  let fmt: WaveFormat | null = null
  let data: Chunk | null = null
  let broadcast: BroadcastInfo | null = null
  /** Total size of further data chunks, which the standard does not allow. */
  let moreDataBytes = 0

  const sizeOf = (id: string, size32: number) =>
    size32 === IN_DS64 ? (longSizes.get(id) ?? IN_DS64) : size32
  for (const chunk of chunksOf(file, 12, 'little', sizeOf)) {
    if (chunk.id === 'ds64' && outer !== 'RIFF') readLongSizes(file, chunk, longSizes)
    else if (chunk.id === 'fmt ' && fmt === null) fmt = readWaveFormat(file, chunk)
    else if (chunk.id === 'data' && data === null) data = chunk
    else if (chunk.id === 'data') moreDataBytes += Math.min(chunk.sizeBytes, file.sizeBytes - chunk.startByte)
    else if (chunk.id === 'bext' && broadcast === null) {
      const bext = file.bytes(chunk.startByte, Math.min(chunk.sizeBytes, BEXT_MOST_BYTES))
      broadcast = decodeBroadcast(bext)
    }
  }

  if (fmt === null || data === null) {
    const missing = fmt === null ? 'its format (fmt) chunk' : 'its audio (data) chunk'
    throw new Failure(
      'damaged',
      `${file.path} is damaged: ${missing} is missing; copy it again from its source.`,
      { path: file.path },
    )
  }
  const { frameBytes, sampleRateHz } = fmt
  const hasLength =
    data.sizeBytes !== 0 &&
    data.sizeBytes <= Number.MAX_SAFE_INTEGER &&
    (data.sizeBytes !== IN_DS64 || longSizes.has('data'))
  if (!hasLength) refuseWithoutSound(file, data)
  // Where the sound is cut short, or has no length, nothing is behind it.
  const isCutShort = !hasLength || data.startByte + data.sizeBytes > file.sizeBytes
  const unreadBytes = isCutShort ? 0 : moreDataBytes + bytesBehindChunks(file, data, 'little', sizeOf)
  return {
    format: {
      container: outer === 'RF64' ? 'rf64' : outer === 'BW64' ? 'bw64' : 'wav',
      encoding: fmt.encoding,
      sampleRateHz,
      channels: fmt.channels,
      ...checkedFrames(
        file.path,
        data.startByte,
        file.sizeBytes,
        hasLength ? data.sizeBytes : null,
        frameBytes,
        sampleRateHz,
      ),
      ...timeStampOf(broadcast, sampleRateHz),
      unreadBytes: unreadBytes < frameBytes ? 0 : unreadBytes,
    },
    dataStartByte: data.startByte,
    frameBytes,
    byteOrder: 'little',
    unsigned8: true,
  }
}

/** BS.2088 section 4.1: 64-bit sizes of the outer chunk and the data chunk, then a table of other chunks. */
function readLongSizes(file: InputFile, chunk: Chunk, longSizes: Map<string, number>): void {
  const bytes = file.bytes(chunk.startByte, Math.min(chunk.sizeBytes, 1 << 16))
  if (bytes.length < DS64_LEAST_BYTES) {
    throw new Failure('damaged', `${file.path} is damaged: its table of 64-bit sizes (ds64) is cut short.`, {
      path: file.path,
    })
  }
  longSizes.set('data', Number(bytes.readBigUInt64LE(8)))
  const rows = bytes.readUInt32LE(24)
  for (let row = 0, at = DS64_LEAST_BYTES; row < rows && at + 12 <= bytes.length; row++, at += 12) {
    longSizes.set(textAt(bytes, at, 4), Number(bytes.readBigUInt64LE(at + 4)))
  }
}

/**
 * A recorder writes the size when it stops; 0, FFFFFFFFh without ds64, or a size beyond any file (8 PiB, where
 * only FFFFFFFFFFFFFFFFh is written) means that it never did, or that it wrote to a pipe.
 * @throws Failure 'empty' if no sound follows
 */
function refuseWithoutSound(file: InputFile, data: Chunk): void {
  const afterwards = file.bytes(data.startByte, 8)
  const isEmpty = afterwards.length === 0 || (data.sizeBytes === 0 && isChunkHeader(afterwards))
  if (isEmpty) throw emptyFailure(file.path)
}
