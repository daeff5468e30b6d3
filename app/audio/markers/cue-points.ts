// Cue points of a WAVE file with the labels, lengths and notes of its associated data list: Multimedia Programming
// Interface and Data Specifications 1.0 (IBM and Microsoft, 1991), chapter 3.

import type { FileMarker } from './file-marker.ts'
import { markerText } from './marker-text.ts'

const POINT_BYTES = 24
const HEADER_BYTES = 8

interface Associated {
  name: string
  note: string
  frames: number
}

/**
 * @param cue contents of the chunk `cue `
 * @param lists contents of the chunks LIST; those that are no `adtl` are passed over
 */
export function readCuePoints(cue: Buffer, lists: readonly Buffer[]): FileMarker[] {
  if (cue.length < 4) return []
  const associated = new Map<number, Associated>()
  for (const list of lists) readAssociated(list, associated)
  const points = Math.min(cue.readUInt32LE(0), Math.floor((cue.length - 4) / POINT_BYTES))
  return Array.from({ length: points }, (_, i) => {
    const at = 4 + i * POINT_BYTES
    const { name = '', note = '', frames = 0 } = associated.get(cue.readUInt32LE(at)) ?? {}
    // The sample offset; the position before it counts in the play order, which programs leave at 0.
    return { name, note, frames, frame: cue.readUInt32LE(at + 20) }
  })
}

function readAssociated(list: Buffer, into: Map<number, Associated>): void {
  if (list.toString('latin1', 0, 4) !== 'adtl') return
  for (let at = 4; at + HEADER_BYTES + 4 <= list.length; ) {
    const kind = list.toString('latin1', at, at + 4)
    const size = list.readUInt32LE(at + 4)
    const contents = list.subarray(at + HEADER_BYTES, Math.min(list.length, at + HEADER_BYTES + size))
    if (contents.length >= 4) {
      const id = contents.readUInt32LE(0)
      const entry = into.get(id) ?? { name: '', note: '', frames: 0 }
      if (kind === 'labl') entry.name = markerText(contents.subarray(4))
      else if (kind === 'note') entry.note = markerText(contents.subarray(4))
      else if (kind === 'ltxt' && contents.length >= 8) entry.frames = contents.readUInt32LE(4)
      into.set(id, entry)
    }
    const next = at + HEADER_BYTES + size + (size % 2)
    // Some programs forget the pad byte: then the next kind begins with it.
    at = size % 2 === 1 && /^[a-z]{4}$/.test(list.toString('latin1', next - 1, next + 3)) ? next - 1 : next
  }
}
