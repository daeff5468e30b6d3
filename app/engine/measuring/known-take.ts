// A take with its print, for the search for copies: the print is read from its file beside the peaks,
// the sound only on demand.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { openTakeFile } from '../../audio/open-take-file.ts'
import { decodePrint, encodePrint, isPrintHead } from '../../audio/print-file.ts'
import { Failure } from '../../contract/failure.ts'
import { createTakeCheck } from '../../dsp/check/take-check.ts'
import type { VoicePrint } from '../../dsp/check/voice-print.ts'
import { replaceOwnFile } from '../../files/write-file.ts'
import { passOver } from './pass-over.ts'

/** A take's hash, name and file. */
export interface NamedTake {
  readonly sha256: string
  readonly name: string
  readonly path: string
}

/** A take that may be compared. */
export interface KnownTake {
  readonly name: string
  readonly print: VoicePrint
  /** Resolves to null where its file cannot be read any more. */
  readonly open: () => Promise<AudioSource | null>
}

/**
 * @param looking called between spans while a print or a working copy is made; throws to stop
 * @returns null where neither a print nor the sound is available
 */
export async function knownTake(
  take: NamedTake,
  workingFolder: string,
  peaksFolder: string,
  looking: () => ReturnType<OnProgress>,
): Promise<KnownTake | null> {
  let print = keptPrint(peaksFolder, take.sha256)
  if (print === null) {
    await makePrint(take, workingFolder, peaksFolder, looking)
    print = keptPrint(peaksFolder, take.sha256)
  }
  return print && { name: take.name, print, open: () => openIfReadable(take, workingFolder, looking) }
}

/** Computes a take's print from its sound and stores it; does nothing where its file cannot be read. */
export async function makePrint(
  take: NamedTake,
  workingFolder: string,
  peaksFolder: string,
  onProgress: OnProgress,
): Promise<void> {
  const audio = await openIfReadable(take, workingFolder, () => onProgress(0))
  if (audio === null) return
  try {
    const check = createTakeCheck(audio.format)
    await passOver(audio, onProgress, check.add)
    keepPrint(peaksFolder, take.sha256, check.finish().print)
  } finally {
    audio.close()
  }
}

/** Stores the print of a take beside its peaks. */
export function keepPrint(peaksFolder: string, sha256: string, print: VoicePrint): void {
  replaceOwnFile(printPath(peaksFolder, sha256), encodePrint(print), isPrintHead)
}

/** null where the print is missing or damaged and has to be made again. */
export function keptPrint(peaksFolder: string, sha256: string): VoicePrint | null {
  try {
    return decodePrint(readFileSync(printPath(peaksFolder, sha256)))
  } catch {
    return null
  }
}

function printPath(peaksFolder: string, sha256: string): string {
  return join(peaksFolder, `${sha256}.print`)
}

async function openIfReadable(
  { path, sha256 }: NamedTake,
  workingFolder: string,
  looking: () => ReturnType<OnProgress>,
): Promise<AudioSource | null> {
  try {
    return await openTakeFile(path, sha256, workingFolder, looking)
  } catch (error) {
    if (error instanceof Failure && error.code !== 'cancelled') return null
    throw error
  }
}
