// Files that a window has sent and no import has used yet. Each is removed when its page drops it or is gone, or when
// an import has ended without it; the next start removes those of a program that was killed. What the catalogue
// knows as a take stays, whatever happens.

import { join } from 'node:path'
import type { WaitingFolder } from '../../files/new-folder.ts'

interface Sent {
  readonly folder: WaitingFolder
  /** Imports that are about to take it in. */
  imports: number
}

/** The sent files of one import. */
interface SentFilesOfImport {
  /** Runs `take`, which makes a take of the file. */
  keepWhile<T>(path: string, take: () => T): T
  /** Removes those that have become no takes. */
  end(): void
}

export interface SentFiles {
  /** @returns path of the one file in the folder */
  add(folder: WaitingFolder, name: string): string
  /** The file goes with this page, unless an import has it. Other paths are left alone. */
  bindToPage(path: string, page: AbortSignal | undefined): void
  /** Removes those that no import has. Other paths are left alone. */
  drop(paths: readonly string[]): void
  /** Paths that were not sent are left alone. */
  beginImport(paths: readonly string[]): SentFilesOfImport
  /** Removes all; the catalogue is still open, and no import runs any more. */
  end(): void
}

/** @param isTake whether the catalogue knows a take at or below a path */
export function createSentFiles(isTake: (path: string) => boolean): SentFiles {
  const waiting = new Map<string, Sent>()

  const remove = (path: string): void => {
    const sent = waiting.get(path)
    if (sent === undefined || sent.imports > 0) return
    waiting.delete(path)
    if (isTake(sent.folder.path)) sent.folder.keep()
    else sent.folder.discard()
  }

  return {
    add(folder, name) {
      const path = join(folder.path, name)
      waiting.set(path, { folder, imports: 0 })
      return path
    },
    bindToPage(path, page) {
      if (!waiting.has(path)) return
      if (page?.aborted) remove(path)
      else page?.addEventListener('abort', () => remove(path), { once: true })
    },
    drop(paths) {
      for (const path of paths) remove(path)
    },
    beginImport(paths) {
      const own = new Set(paths.filter((path) => waiting.has(path)))
      for (const path of own) waiting.get(path)!.imports++
      return {
        keepWhile(path, take) {
          // The note ends first: another catalogue's start, which does not know these takes, sweeps what is noted.
          waiting.get(path)?.folder.keep()
          return take()
        },
        end() {
          for (const path of own) {
            waiting.get(path)!.imports--
            remove(path)
          }
        },
      }
    },
    end() {
      for (const path of [...waiting.keys()]) remove(path)
    },
  }
}
