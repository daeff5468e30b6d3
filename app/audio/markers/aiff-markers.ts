// MARK of an AIFF file: Audio Interchange File Format 1.3 (Apple, 1989), section 7.0. A position is between two frames;
// the name is a Pascal string, padded so that its length with the count byte is even.

import type { FileMarker } from './file-marker.ts'
import { markerText } from './marker-text.ts'

const FIXED_BYTES = 7

/** @param mark contents of the chunk MARK */
export function readAiffMarkers(mark: Buffer): FileMarker[] {
  const found: FileMarker[] = []
  if (mark.length < 2) return found
  const count = mark.readUInt16BE(0)
  for (let at = 2, i = 0; i < count && at + FIXED_BYTES <= mark.length; i++) {
    const length = mark[at + 6]!
    const text = mark.subarray(at + FIXED_BYTES, at + FIXED_BYTES + length)
    found.push({ name: markerText(text), note: '', frame: mark.readUInt32BE(at + 2), frames: 0 })
    at += FIXED_BYTES + length + ((length + 1) % 2)
  }
  return found
}
