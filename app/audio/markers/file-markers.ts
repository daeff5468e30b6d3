// Markers that a recorder or an editor wrote into a sound file: cue points with their labels, lengths and notes (WAVE),
// the sync points of iXML, and MARK of AIFF. What cannot be read is left out: markers are never a reason to refuse
// a take.

import { type Chunk, chunksOf } from '../file-chunks.ts'
import type { InputFile } from '../input-file.ts'
import { openInputFile } from '../input-file.ts'
import { soundKindOf } from '../open-audio-file.ts'
import { readAiffMarkers } from './aiff-markers.ts'
import { readCuePoints } from './cue-points.ts'
import type { FileMarker } from './file-marker.ts'
import { readSyncPoints } from './sync-points.ts'

/** More than this are no markers of a song; the rest is left out. */
const MOST_MARKERS = 1000
/** Labels and notes of a file, or its iXML; a longer chunk is cut there. */
const MOST_CHUNK_BYTES = 1 << 20

/**
 * In the order of their places, each place and name once. FLAC gives none.
 * @throws Failure where the file cannot be opened or is no sound file
 */
export function readFileMarkers(path: string): FileMarker[] {
  const file = openInputFile(path)
  try {
    const kind = soundKindOf(file)
    if (kind === 'flac') return []
    return inOrder(kind === 'aiff' ? aiffMarkers(file) : waveMarkers(file))
  } finally {
    file.close()
  }
}

const contentsOf = (file: InputFile, { startByte, sizeBytes }: Chunk): Buffer =>
  file.bytes(startByte, Math.min(sizeBytes, MOST_CHUNK_BYTES))

function waveMarkers(file: InputFile): FileMarker[] {
  let cue: Buffer | null = null
  const lists: Buffer[] = []
  const found: FileMarker[] = []
  for (const chunk of chunksOf(file, 12, 'little', longSizesOf(file))) {
    if (chunk.id === 'cue ' && cue === null) cue = contentsOf(file, chunk)
    else if (chunk.id === 'LIST' && lists.length < 4) lists.push(contentsOf(file, chunk))
    else if (chunk.id === 'iXML') found.push(...readSyncPoints(contentsOf(file, chunk)))
  }
  return [...(cue === null ? [] : readCuePoints(cue, lists)), ...found]
}

/** RF64 and BW64 have the size of a long data chunk at the start of ds64: EBU Tech 3306, ITU-R BS.2088. */
function longSizesOf(file: InputFile): (id: string, size32: number) => number {
  const head = file.bytes(12, 24)
  const isLong = head.length === 24 && head.toString('latin1', 0, 4) === 'ds64'
  const dataBytes = isLong ? Number(head.readBigUInt64LE(16)) : 0
  return (id, size32) => (isLong && id === 'data' && size32 === 0xffffffff ? dataBytes : size32)
}

function aiffMarkers(file: InputFile): FileMarker[] {
  for (const chunk of chunksOf(file, 12, 'big'))
    if (chunk.id === 'MARK') return readAiffMarkers(contentsOf(file, chunk))
  return []
}

function inOrder(markers: readonly FileMarker[]): FileMarker[] {
  const seen = new Set<string>()
  return markers
    .filter(({ frame, name }) => {
      const key = `${frame} ${name}`
      return !seen.has(key) && seen.add(key) !== undefined
    })
    .slice(0, MOST_MARKERS)
    .sort((a, b) => a.frame - b.frame)
}
