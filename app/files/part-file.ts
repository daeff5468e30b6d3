// A file on its way to being whole: written under the name plus '.part', and given
// its own name only when every byte is on the disk. Any failure removes the part.

import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs'
import { dirname } from 'node:path'
import { writeFailure } from './file-failures.ts'

export interface PartFile {
  /** Writes all of `bytes` at `position`. @throws Failure 'disk-full' or 'not-writable', with the part removed */
  write(bytes: Uint8Array, position: number): void
  /** Flushes to the disk and renames to the final name. @throws Failure, with the part removed */
  commit(): void
  /** Removes the part; the final name is left as it was. Harmless after commit or discard. */
  discard(): void
}

/** Starts `path + '.part'`. @throws Failure 'disk-full' or 'not-writable' */
export function createPartFile(path: string): PartFile {
  const partPath = `${path}.part`
  let descriptor: number | null = null
  let finished = false
  descriptor = attempt(() => openSync(partPath, 'w'))

  function attempt<Result>(act: () => Result): Result {
    try {
      return act()
    } catch (error) {
      discard()
      throw writeFailure(error, path)
    }
  }

  function opened(): number {
    if (finished || descriptor === null) throw new Error(`${partPath} is already finished`)
    return descriptor
  }

  function close(): void {
    if (descriptor === null) return
    // Forgotten before it is closed: a number closed twice may by then be another's file.
    const open = descriptor
    descriptor = null
    closeSync(open)
  }

  function discard(): void {
    if (finished) return
    finished = true
    try {
      close()
    } catch {
      // The part goes away either way; the error that led here is the one to tell.
    }
    try {
      rmSync(partPath, { force: true })
    } catch {
      // Where a file stands in the place of the folder, there is no part to take away.
    }
  }

  return {
    write(bytes, position) {
      const to = opened()
      attempt(() => {
        let done = 0
        while (done < bytes.length) done += writeSync(to, bytes, done, bytes.length - done, position + done)
      })
    },
    commit() {
      const to = opened()
      attempt(() => {
        fsyncSync(to)
        // Closing may report a late write error (network disks), so it comes before the rename.
        close()
        renameSync(partPath, path)
      })
      finished = true
      syncFolder(dirname(path))
    },
    discard,
  }
}

/** Makes the rename itself durable where the system can; Windows cannot open folders. */
function syncFolder(folder: string): void {
  try {
    const descriptor = openSync(folder, 'r')
    try {
      fsyncSync(descriptor)
    } finally {
      closeSync(descriptor)
    }
  } catch {
    // The file is whole under its name already; only a power cut in this moment could undo that.
  }
}
