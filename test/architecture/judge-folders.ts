// Folders that have grown beyond what one looks through at a glance.

import { posix } from 'node:path'
import { LARGE_FOLDERS, MAX_FILES_IN_FOLDER } from './import-table.ts'
import type { Refusal } from './judge-imports.ts'

/** @param files paths from the top of the tree, with forward slashes */
export function judgeFolders(
  files: readonly string[],
  reasons: Readonly<Record<string, string>> = LARGE_FOLDERS,
): Refusal[] {
  const counts = new Map<string, number>()
  for (const file of files) {
    const folder = posix.dirname(file)
    counts.set(folder, (counts.get(folder) ?? 0) + 1)
  }
  const tooLarge = [...counts].filter(([, count]) => count > MAX_FILES_IN_FOLDER)
  return [
    ...tooLarge
      .filter(([folder]) => !Object.hasOwn(reasons, folder))
      .map(([folder, count]) => ({
        file: folder,
        line: 1,
        what: `${count} files`,
        why: `a folder has at most ${MAX_FILES_IN_FOLDER} files; divide it by subject, or give the reason in test/architecture/import-table.ts`,
      })),
    ...Object.keys(reasons)
      .filter((folder) => !tooLarge.some(([large]) => large === folder))
      .map((folder) => ({
        file: 'test/architecture/import-table.ts',
        line: 1,
        what: folder,
        why: 'this folder is not large any longer; take its reason out',
      })),
  ]
}
