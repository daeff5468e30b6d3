// Identifies a file by its first bytes, regardless of its name: the container if it can be read, otherwise
// a phrase for the error message.

/** Kinds of file that can be read. */
export type ReadableKind = 'wave' | 'aiff' | 'flac'

/** Bytes from the start of a file that are enough to identify it. */
export const HEAD_BYTES = 64

const UNREADABLE: readonly (readonly [offset: number, signature: string, looksLike: string])[] = [
  [0, 'RIFX', 'a big-endian WAVE (RIFX) file'],
  [0, 'riff\x2e\x91\xcf\x11', 'a Wave64 file'],
  [8, 'AVI ', 'an AVI video'],
  [0, 'ID3', 'an MP3 file'],
  [4, 'ftyp', 'an MPEG-4 file (M4A or video)'],
  [0, 'OggS', 'an Ogg file (Vorbis or Opus)'],
  [0, 'caff', 'a Core Audio (CAF) file'],
  [0, '\x1aE\xdf\xa3', 'a Matroska or WebM file'],
  [0, '\x30\x26\xb2\x75', 'a Windows Media file'],
  [0, '.snd', 'an AU file'],
  [0, 'MThd', 'a MIDI file'],
  [0, 'wvpk', 'a WavPack file'],
  [0, 'MAC ', "a Monkey's Audio file"],
  [0, 'ADIF', 'an AAC file'],
  [0, '\x0b\x77', 'an AC-3 file'],
  [0, 'PK\x03\x04', 'a ZIP archive'],
  [0, '\x1f\x8b', 'a gzip archive'],
  [0, '%PDF', 'a PDF document'],
  [0, '\x89PNG', 'a PNG picture'],
  [0, '\xff\xd8\xff', 'a JPEG picture'],
]

/** The container by its signature, or null if it is not one that can be read. */
export function readableKindOf(head: Uint8Array): ReadableKind | null {
  const outer = textAt(head, 0, 4)
  const inner = textAt(head, 8, 4)
  if ((outer === 'RIFF' || outer === 'RF64' || outer === 'BW64') && inner === 'WAVE') return 'wave'
  if (outer === 'FORM' && (inner === 'AIFF' || inner === 'AIFC')) return 'aiff'
  if (outer === 'fLaC') return 'flac'
  return null
}

/** What an unreadable file looks like, as part of a sentence: 'an MP3 file', 'text', … */
export function looksLike(head: Uint8Array): string {
  for (const [offset, signature, words] of UNREADABLE) {
    if (textAt(head, offset, signature.length) === signature) return words
  }
  if (head.length >= 2 && head[0] === 0xff && (head[1] & 0xf6) === 0xf0) return 'an AAC file'
  // MPEG audio frame: 11 sync bits, then neither the reserved version nor the reserved layer.
  if (head.length >= 2 && head[0] === 0xff && (head[1] & 0xe0) === 0xe0) {
    if ((head[1] & 0x18) !== 0x08 && (head[1] & 0x06) !== 0) return 'an MP3 file'
  }
  if (head.every((byte) => byte === 0)) return 'a file of zeros, as a failed copy leaves'
  if (head.every((byte) => (byte >= 0x20 ? byte !== 0x7f : byte === 9 || byte === 10 || byte === 13)))
    return 'text'
  return 'no audio format that Takeloft knows'
}

/** `length` bytes at `offset` as Latin-1 text. */
export function textAt(bytes: Uint8Array, offset: number, length: number): string {
  let text = ''
  const end = Math.min(bytes.length, offset + length)
  for (let i = offset; i < end; i++) text += String.fromCharCode(bytes[i])
  return text
}
