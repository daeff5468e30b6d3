// Measures only loudness and peaks of a file, which is much faster than the full measurement at intake.

import type { OnProgress } from '../../audio/on-progress.ts'
import { openTakeFile, refuseUnreadable } from '../../audio/open-take-file.ts'
import { hashFile } from '../../audio/sha256.ts'
import { createTakeMeter } from '../../dsp/meters/take-meter.ts'
import { type MeasuredFile, measuredFileOf } from './measured-file.ts'
import { finiteFactsOf, takeFactsOf } from './meter-facts.ts'
import { passOver } from './pass-over.ts'

/** Approximate share of the time that hashing takes. */
const HASH_PART = 0.2

/**
 * Hash, format and levels, with the meter's own findings.
 * @param workingFolder for the working copy of a FLAC file
 * @throws Failure as hashFile, openTakeFile and finiteFactsOf
 */
export async function measureLevels(
  path: string,
  workingFolder: string,
  onProgress: OnProgress,
  signal?: AbortSignal,
): Promise<MeasuredFile> {
  refuseUnreadable(path)
  const sha256 = await hashFile(path, signal)
  const hashed = (): ReturnType<OnProgress> => onProgress(HASH_PART)
  await hashed()
  const audio = await openTakeFile(path, sha256, workingFolder, hashed)
  try {
    const { sampleRateHz, channels } = audio.format
    const meter = createTakeMeter({ sampleRateHz, channels })
    await passOver(
      audio,
      (fraction) => onProgress(HASH_PART + fraction * (1 - HASH_PART)),
      (block, count) => meter.add(block, count),
    )
    const facts = takeFactsOf(finiteFactsOf(meter, path, sampleRateHz), [])
    return measuredFileOf(path, sha256, audio.format, facts)
  } finally {
    audio.close()
  }
}
