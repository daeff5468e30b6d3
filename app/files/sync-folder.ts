// Makes new and renamed entries of a folder survive a power cut.

import { closeSync, fsyncSync, openSync } from 'node:fs'

/** Flushes the folder's entries to the disk, where the system can: Windows cannot open a folder. */
export function syncFolder(folder: string): void {
  try {
    const descriptor = openSync(folder, 'r')
    try {
      fsyncSync(descriptor)
    } finally {
      closeSync(descriptor)
    }
  } catch {
    // The entry is in place either way; only a power cut at this moment could undo it.
  }
}
