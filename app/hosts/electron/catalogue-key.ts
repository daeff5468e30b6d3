// Identifies a catalogue regardless of the path that names it; the key of its window and its session.

import { createHash } from 'node:crypto'
import { realpathSync } from 'node:fs'
import { resolve } from 'node:path'

const KEY_CHARACTERS = 16

/** @param path of a catalogue that may not exist yet */
export function catalogueKey(path: string): string {
  let real: string
  try {
    // The native variant returns the upper and lower case of the name on disk.
    real = realpathSync.native(path)
  } catch {
    real = resolve(path)
  }
  return `catalogue-${createHash('sha256').update(real).digest('hex').slice(0, KEY_CHARACTERS)}`
}
