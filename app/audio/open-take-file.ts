// Opens a take of any kind for reading by span: directly, or for FLAC through a working copy.

import type { AudioFormat, AudioSource } from './audio-source.ts'
import { type FlacHeader, readFlacHeader } from './flac/flac-header.ts'
import { openInputFile } from './input-file.ts'
import type { OnProgress } from './on-progress.ts'
import { openAudioFile, soundKindOf } from './open-audio-file.ts'
import { timeStampOf } from './wave/broadcast.ts'
import { findWorkingCopy, makeWorkingCopy } from './working-copy.ts'

/**
 * Opens the take at `path`.
 * @param sha256 of the take's bytes
 * @param workingFolder folder of the working copies; created if missing
 * @param onProgress progress of making a working copy; see OnProgress
 * @throws Failure as openAudioFile and unpackFlac
 */
export async function openTakeFile(
  path: string,
  sha256: string,
  workingFolder: string,
  onProgress: OnProgress,
): Promise<AudioSource> {
  return openAudioFile(await readableTakePath(path, sha256, workingFolder, onProgress))
}

/**
 * Path under which openAudioFile can read the take: its own, or that of its working copy,
 * which is made if there is none. Parameters as for openTakeFile.
 */
export async function readableTakePath(
  path: string,
  sha256: string,
  workingFolder: string,
  onProgress: OnProgress,
): Promise<string> {
  if (!isFlac(path)) return path
  return findWorkingCopy(workingFolder, sha256) ?? makeWorkingCopy(path, sha256, workingFolder, onProgress)
}

/**
 * Reads only the header of a recording, so that unreadable files are refused before they are hashed.
 * @throws Failure as openAudioFile
 */
export function refuseUnreadable(path: string): void {
  if (!isFlac(path)) {
    openAudioFile(path).close()
    return
  }
  const file = openInputFile(path)
  try {
    readFlacHeader(file)
  } finally {
    file.close()
  }
}

/**
 * The format of a recording: for FLAC the container and the promised length of its header, and the rest, such
 * as the frames that could be decoded, of its working copy.
 * @param readable format of the file that is read, as openTakeFile gives it
 * @throws Failure as openAudioFile
 */
export function formatOf(path: string, readable: AudioFormat): AudioFormat {
  if (!isFlac(path)) return readable
  const file = openInputFile(path)
  try {
    const header = readFlacHeader(file)
    return {
      ...readable,
      container: 'flac',
      promisedFrames: promisedFramesOf(header, readable.frames),
      ...timeStampOf(header.broadcast, header.sampleRateHz),
    }
  } finally {
    file.close()
  }
}

/** Where the header gives no length, a checksum that matched says that nothing is missing. */
const promisedFramesOf = ({ frames, md5 }: FlacHeader, decodedFrames: number): number | null => {
  if (frames !== null) return Math.max(frames, decodedFrames)
  return md5 === null ? null : decodedFrames
}

/** Whether the file at `path` is FLAC, by its contents. @throws Failure as openAudioFile */
export function isFlac(path: string): boolean {
  const file = openInputFile(path)
  try {
    return soundKindOf(file) === 'flac'
  } finally {
    file.close()
  }
}
