// Opens a take of any kind for reading by span: as it is, or for FLAC through a working
// copy that is unpacked once and kept under the take's SHA-256.

import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { writeFailure } from '../files/file-failures.ts'
import type { AudioFormat, AudioSource } from './audio-source.ts'
import { readFlacHeader } from './flac-header.ts'
import { openInputFile } from './input-file.ts'
import { openAudioFile, soundKindOf } from './open-audio-file.ts'

/**
 * Opens the take at `path`.
 * @param sha256 of the take's bytes, the name of its working copy
 * @param workingFolder where working copies lie; made if it is missing
 * @throws Failure as openAudioFile and unpackFlac
 */
export async function openTakeFile(
  path: string,
  sha256: string,
  workingFolder: string,
  signal?: AbortSignal,
): Promise<AudioSource> {
  return openAudioFile(await readableTakePath(path, sha256, workingFolder, signal))
}

/**
 * Path under which openAudioFile can read the take: its own, or that of its working copy,
 * which is made if there is none. Takes as openTakeFile.
 */
export async function readableTakePath(
  path: string,
  sha256: string,
  workingFolder: string,
  signal?: AbortSignal,
): Promise<string> {
  if (!isFlac(path)) return path
  const copyPath = join(workingFolder, `${sha256}.wav`)
  const kept = openKeptCopy(copyPath)
  if (kept !== null) {
    kept.close()
    return copyPath
  }
  try {
    mkdirSync(workingFolder, { recursive: true })
  } catch (error) {
    throw writeFailure(error, copyPath)
  }
  const { unpackFlac } = await loadUnpacking()
  await unpackFlac(path, copyPath, signal)
  return copyPath
}

/** A copy that is missing or was damaged since is simply made again. */
function openKeptCopy(copyPath: string): AudioSource | null {
  try {
    return openAudioFile(copyPath)
  } catch (error) {
    if (error instanceof Failure) return null
    throw error
  }
}

/**
 * The format of a recording without reading its sound, except for FLAC whose header does
 * not say how long it is. For FLAC the depth is the one that its working copy will have.
 * @throws Failure as openAudioFile
 */
export async function readFormat(path: string): Promise<AudioFormat> {
  if (!isFlac(path)) {
    const source = openAudioFile(path)
    source.close()
    return source.format
  }
  const file = openInputFile(path)
  try {
    const header = readFlacHeader(file)
    return {
      container: 'flac',
      encoding: header.encoding,
      sampleRateHz: header.sampleRateHz,
      channels: header.channels,
      frames: header.frames === 0 ? await (await loadUnpacking()).countFlacFrames(path) : header.frames,
      timeReferenceSamples: header.broadcast?.timeReferenceSamples ?? null,
    }
  } finally {
    file.close()
  }
}

/** Only for FLAC, because the decoder takes a while to load. */
const loadUnpacking = () => import('./unpack-flac.ts')

function isFlac(path: string): boolean {
  const file = openInputFile(path)
  try {
    return soundKindOf(file) === 'flac'
  } finally {
    file.close()
  }
}
