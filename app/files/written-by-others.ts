// Creates a file that other code writes by its path, such as a copy made by SQLite, which puts a journal
// beside it while it writes. The file is written in an unfinished folder, synced, and then given its name.

import { closeSync, fsyncSync, openSync, renameSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { PRIVATE_FOLDER_MODE } from './ensure-folder.ts'
import { errorCode, existsFailure, writeFailure } from './file-failures.ts'
import { type FileIdentity, identityOf, isSameFile } from './file-identity.ts'
import { refuseLongName } from './file-names.ts'
import { PRIVATE_FILE_MODE } from './new-file.ts'
import { createNewFolder } from './new-folder.ts'
import { putInPlace } from './put-in-place.ts'
import { syncFolder } from './sync-folder.ts'
import { noteFileInside } from './unfinished.ts'

/**
 * @param write fills the file at the given path, which exists and is empty
 * @throws Failure 'conflict' where `path` exists, 'disk-full', 'not-writable'; errors of `write` unchanged.
 *   Nothing is left then.
 */
export function createFileBy(path: string, write: (freshPath: string) => void): void {
  placeBy(path, write, putInPlace)
}

/**
 * As createFileBy, in the place of a file of the program's own.
 * @param own identity of that file
 * @throws Failure 'conflict' where `path` is no longer that file
 */
export function replaceFileBy(path: string, own: FileIdentity, write: (freshPath: string) => void): void {
  placeBy(path, write, (from, to) => {
    if (!isSameFile(identityOf(to), own)) throw existsFailure(to)
    renameSync(from, to)
  })
}

function placeBy(
  path: string,
  write: (freshPath: string) => void,
  place: (from: string, to: string) => void,
): void {
  refuseLongName(path)
  const folder = createNewFolder(dirname(path), PRIVATE_FOLDER_MODE)
  try {
    const freshPath = join(folder.path, 'file')
    // SQLite's side files are noted too, in case the program is killed before they are removed.
    for (const ending of ['', '-journal', '-wal', '-shm']) noteFileInside(freshPath + ending)
    attempt(path, () => closeSync(openSync(freshPath, 'wx', PRIVATE_FILE_MODE)))
    write(freshPath)
    attempt(path, () => {
      sync(freshPath)
      place(freshPath, path)
    })
    syncFolder(dirname(path))
  } finally {
    folder.discard()
  }
}

function attempt(path: string, act: () => void): void {
  try {
    act()
  } catch (error) {
    throw errorCode(error) === 'EEXIST' ? existsFailure(path, error) : writeFailure(error, path)
  }
}

function sync(path: string): void {
  const descriptor = openSync(path, 'r+')
  try {
    fsyncSync(descriptor)
  } finally {
    closeSync(descriptor)
  }
}
