// Markers in a WAVE file: the chunks cue and LIST adtl (Microsoft, Multimedia Programming Interface and Data
// Specifications 1.0, 1991, chapter 3).

import type { FileMarker } from '../markers/file-marker.ts'
import { waveChunk, waveText, words32 } from './wave-chunk.ts'

/** A cue point has 32 bits: 24.8 hours at 48 kHz. */
const MOST_FRAME = 0xffff_ffff

const DATA = Buffer.from('data', 'latin1')
/** Purpose of a range. */
const REGION = Buffer.from('rgn ', 'latin1')

/**
 * Both chunks; empty where there is no marker. All labels come first, then ranges, then notes: several readers
 * (FFmpeg, libsndfile) stop looking for labels at the first note. Markers beyond 32 bits are left out.
 */
export function markerChunks(markers: readonly FileMarker[]): Buffer {
  const numbered = markers
    .filter(({ startFrame }) => startFrame >= 0 && startFrame <= MOST_FRAME)
    .map((marker, k) => ({ ...marker, id: k + 1 }))
  if (numbered.length === 0) return Buffer.alloc(0)
  // Both fields for the position have the frame, because readers differ in which of them they use.
  const points = numbered.map(({ id, startFrame }) =>
    Buffer.concat([words32(id, startFrame), DATA, words32(0, 0, startFrame)]),
  )
  const labels = numbered.map(({ id, name }) => waveChunk('labl', words32(id), waveText(name)))
  const ranges = numbered
    .filter(({ frames }) => frames > 0)
    .map(({ id, frames }) =>
      waveChunk('ltxt', words32(id, Math.min(frames, MOST_FRAME)), REGION, words32(0, 0)),
    )
  const notes = numbered
    .filter(({ note }) => note !== '')
    .map(({ id, note }) => waveChunk('note', words32(id), waveText(note)))
  return Buffer.concat([
    waveChunk('cue ', words32(numbered.length), ...points),
    waveChunk('LIST', Buffer.from('adtl', 'latin1'), ...labels, ...ranges, ...notes),
  ])
}
