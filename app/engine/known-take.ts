// A take with its print, as copies are looked for: the print from its file, or taken from
// the sound where none was kept.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { AudioSource } from '../audio/audio-source.ts'
import type { Moved } from '../audio/moved.ts'
import { openAudioFile } from '../audio/open-audio-file.ts'
import { readableTakePath } from '../audio/open-take-file.ts'
import { decodePrint, encodePrint, isPrintHead } from '../audio/print-file.ts'
import { Failure } from '../contract/failure.ts'
import { createTakeCheck } from '../dsp/check/take-check.ts'
import type { VoicePrint } from '../dsp/check/voice-print.ts'
import { BLOCK_FRAMES } from '../dsp/stage.ts'
import { replaceOwnFile } from '../files/write-file.ts'

/** A take by its hash, as it is called, and where its file is. */
export interface NamedTake {
  readonly sha256: string
  readonly name: string
  readonly path: string
}

export interface KnownTake {
  readonly name: string
  readonly print: VoicePrint
  /** null where its file cannot be read any more. */
  readonly open: () => AudioSource | null
}

const READ_FRAMES = 16 * BLOCK_FRAMES

/**
 * @param looking called from span to span while a print is made, and throws to stop
 * @returns null where neither a print nor the sound is there
 */
export async function knownTake(
  { sha256, name, path }: NamedTake,
  workingFolder: string,
  peaksFolder: string,
  looking: () => ReturnType<Moved>,
): Promise<KnownTake | null> {
  const readable = await orNull(() => readableTakePath(path, sha256, workingFolder, looking))
  const open = (): AudioSource | null => {
    if (readable === null) return null
    try {
      return openAudioFile(readable)
    } catch (error) {
      if (error instanceof Failure) return null
      throw error
    }
  }
  const kept = keptPrint(peaksFolder, sha256)
  if (kept !== null) return { name, print: kept, open }
  const audio = open()
  if (audio === null) return null
  try {
    const print = await takePrint(audio, looking)
    keepPrint(peaksFolder, sha256, print)
    return { name, print, open }
  } finally {
    audio.close()
  }
}

/** Keeps the print of a take beside its peaks. */
export function keepPrint(peaksFolder: string, sha256: string, print: VoicePrint): void {
  replaceOwnFile(printPath(peaksFolder, sha256), encodePrint(print), isPrintHead)
}

/** A print that is missing or damaged is simply made again. */
function keptPrint(peaksFolder: string, sha256: string): VoicePrint | null {
  try {
    return decodePrint(readFileSync(printPath(peaksFolder, sha256)))
  } catch {
    return null
  }
}

function printPath(peaksFolder: string, sha256: string): string {
  return join(peaksFolder, `${sha256}.print`)
}

async function takePrint(audio: AudioSource, looking: () => ReturnType<Moved>): Promise<VoicePrint> {
  const { sampleRateHz, channels, frames } = audio.format
  const check = createTakeCheck({ sampleRateHz, channels })
  const block = Array.from({ length: channels }, () => new Float64Array(READ_FRAMES))
  for (let at = 0; at < frames; at += READ_FRAMES) {
    const count = Math.min(READ_FRAMES, frames - at)
    audio.read(at, count, block)
    check.add(block, count)
    await looking()
  }
  return check.finish().print
}

async function orNull<T>(work: () => Promise<T>): Promise<T | null> {
  try {
    return await work()
  } catch (error) {
    if (error instanceof Failure && error.code !== 'cancelled') return null
    throw error
  }
}
