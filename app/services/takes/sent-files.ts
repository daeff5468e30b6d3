// Files that a window has sent and no import has used yet. Each is removed when its page drops it or ends, or
// when an import ends without storing it. If the program is killed, the next start removes them. A file that
// the catalogue lists as a take is never removed.

import { join } from 'node:path'
import type { WaitingFolder } from '../../files/new-folder.ts'

interface Sent {
  readonly folder: WaitingFolder
  /** Number of running imports that use it. */
  imports: number
}

/** The sent files of one import. */
interface SentFilesOfImport {
  /** Whether this path is one of them. */
  has(path: string): boolean
  /** Keeps a file that is stored as a take. Ignores paths that were not sent. */
  keep(path: string): void
  /** Removes the files that have not become takes. */
  end(): void
}

export interface SentFiles {
  /** @returns path of the one file in the folder */
  add(folder: WaitingFolder, name: string): string
  /** Removes the file when this page ends, unless an import uses it. Ignores paths that were not sent. */
  bindToPage(path: string, page: AbortSignal | undefined): void
  /** Removes the files that no import uses. Ignores paths that were not sent. */
  drop(paths: readonly string[]): void
  /** Ignores paths that were not sent. */
  beginImport(paths: readonly string[]): SentFilesOfImport
  /** Removes all. Call it while the catalogue is still open and no import is running. */
  end(): void
}

/** @param isTake whether the catalogue has a take at or below a path */
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
        has: (path) => own.has(path),
        keep: (path) => waiting.get(path)?.folder.keep(),
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
