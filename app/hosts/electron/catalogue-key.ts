// Which catalogue it is, under whatever path: a name for its window and for what that remembers.

import { createHash } from 'node:crypto'
import { realpathSync } from 'node:fs'
import { resolve } from 'node:path'

const KEY_CHARACTERS = 16

/** @param path of a catalogue; where there is none yet, no other path leads to it */
export function catalogueKey(path: string): string {
  let real: string
  try {
    // Native, because it gives the letters' case as it is on the disk.
    real = realpathSync.native(path)
  } catch {
    real = resolve(path)
  }
  return `catalogue-${createHash('sha256').update(real).digest('hex').slice(0, KEY_CHARACTERS)}`
}
