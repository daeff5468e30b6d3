// The chunk LIST INFO of a WAVE file: what it is, in words (Microsoft, Multimedia Programming Interface and Data
// Specifications 1.0, 1991, chapter 2).

import { waveChunk, waveText } from './wave-chunk.ts'

/** Texts of a file. */
export interface WaveInfo {
  readonly title: string
  readonly artist: string
  readonly comment: string
  /** The program that made it. */
  readonly software: string
}

/** Texts that are empty are left out. */
export function infoChunk({ title, artist, comment, software }: WaveInfo): Buffer {
  const texts: readonly (readonly [id: string, text: string])[] = [
    ['INAM', title],
    ['IART', artist],
    ['ICMT', comment],
    ['ISFT', software],
  ]
  return waveChunk(
    'LIST',
    Buffer.from('INFO', 'latin1'),
    ...texts.filter(([, text]) => text !== '').map(([id, text]) => waveChunk(id, waveText(text))),
  )
}
