// The head of a file in which a measured chain is kept with its rows along the song: one line of JSON.

import { z } from 'zod'
import { Sha256 } from '../entities.ts'
import { SongOfChain } from './joint-rows.ts'

/** How every such file begins. */
export const KEPT_SONG_BEGINNING = '{"format":"takeloft song rows 1"'

export const KeptSongHead = z.object({
  format: z.literal('takeloft song rows 1'),
  key: Sha256,
  takeSha256: Sha256,
  song: SongOfChain,
  /** 32-bit floats of each joint's rows, which follow the head in this order. */
  floats: z.array(z.int().nonnegative()),
  /** Of the bytes behind the head. */
  sha256: Sha256,
})
export type KeptSongHead = z.infer<typeof KeptSongHead>
