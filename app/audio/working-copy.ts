// Working copies of FLAC takes: seekable PCM. Each copy is in a folder named after the take's hash,
// in a file named after its own hash, so that damage to the copy can be detected.

import { basename, join } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../files/ensure-folder.ts'
import { namesIn } from '../files/names-in.ts'
import { createNewFolder, isFree, moveAside, renameInside } from '../files/new-folder.ts'
import type { OnProgress } from './on-progress.ts'
import { openAudioFile } from './open-audio-file.ts'
import { hashFile } from './sha256.ts'

const FILE_NAME = /^[0-9a-f]{64}\.wav$/

/** Folder of a take's working copy. */
export const workingCopyFolder = (workingFolder: string, takeSha256: string): string =>
  join(workingFolder, takeSha256)

/** The SHA-256 that a working copy should have, from its file name. */
export const promisedHash = (copyPath: string): string => basename(copyPath, '.wav')

/** Path of a take's working copy; null if there is none or it cannot be opened. */
export function findWorkingCopy(workingFolder: string, takeSha256: string): string | null {
  const folder = workingCopyFolder(workingFolder, takeSha256)
  const name = namesIn(folder).find((one) => FILE_NAME.test(one))
  if (name === undefined) return null
  try {
    const source = openAudioFile(join(folder, name))
    source.close()
    // A take that is cut short has a whole copy of what is there.
    const { frames, promisedFrames } = source.format
    return frames === promisedFrames ? join(folder, name) : null
  } catch (error) {
    if (error instanceof Failure) return null
    throw error
  }
}

/**
 * Unpacks the FLAC file at `path`. Safe to run concurrently: one of the copies is kept.
 * @param onProgress receives the progress; see OnProgress
 * @returns path of the copy
 * @throws Failure as unpackFlac does, or when the copy cannot be written
 */
export async function makeWorkingCopy(
  path: string,
  takeSha256: string,
  workingFolder: string,
  onProgress: OnProgress,
): Promise<string> {
  ensureFolder(workingFolder, PRIVATE_FOLDER_MODE)
  const fresh = createNewFolder(workingFolder, PRIVATE_FOLDER_MODE)
  try {
    const { unpackFlac } = await import('./flac/unpack-flac.ts')
    const unnamed = join(fresh.path, 'unnamed.wav')
    await unpackFlac(path, unnamed, onProgress)
    const name = `${await hashFile(unnamed, undefined, () => onProgress(1))}.wav`
    renameInside(unnamed, join(fresh.path, name))
    const folder = workingCopyFolder(workingFolder, takeSha256)
    try {
      fresh.commit(folder)
    } catch (error) {
      const other = findWorkingCopy(workingFolder, takeSha256)
      if (other !== null) return other
      if (isFree(folder)) throw error
      // The existing copy cannot be opened.
      moveAside(folder)
      fresh.commit(folder)
    }
    return join(folder, name)
  } finally {
    fresh.discard()
  }
}
