// By how much versions of chains have to be lowered to be equally loud on one take or in the stack.

import type { ChainStages } from '../../../app/contract/chain-document.ts'
import { MAX_LOWER_DB, type PlaybackSource } from '../../../app/contract/playback.ts'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { client } from '../../state/connection.ts'

/** Measuring ends when this much of the voice has been heard. */
const ACTIVE_SECONDS = 20

/** What is played for a version. */
type SourceFor = (stages: ChainStages) => PlaybackSource

/**
 * The dry side counts as one of them, the take itself or the stack as saved, so that it needs no lifting where all
 * versions are louder. One after the other, because a measurement takes a whole thread.
 * @returns by how many dB to lower each version, 0 or more; null if it has nothing to compare the loudness by
 */
export async function loweringsFor(
  sourceFor: SourceFor,
  versions: readonly ChainStages[],
  signal: AbortSignal,
): Promise<number[] | null> {
  const louderLu: number[] = []
  for (const stages of versions) {
    const louder = await loudnessOver(sourceFor(stages), signal)
    if (louder === null) return null
    louderLu.push(louder)
  }
  const quietest = Math.min(0, ...louderLu)
  return louderLu.map((louder) => Math.min(MAX_LOWER_DB, louder - quietest))
}

/** How much louder than the dry side; null if nothing of it is loud enough to measure. */
async function loudnessOver(source: PlaybackSource, signal: AbortSignal): Promise<number | null> {
  const opened = await client.openPlayback(source, { signal })
  const { playbackId, startFrame, frames } = opened
  try {
    const match = await client.matchPlayback(
      { playbackId, fromFrame: startFrame, toFrame: startFrame + frames, maxSeconds: ACTIVE_SECONDS },
      { signal },
    )
    return match.differenceLu
  } finally {
    await client.closePlayback({ playbackId })
  }
}

/** What was done to a version to make it as loud as the others. */
export const loweredWords = (loweredDb: number): string =>
  loweredDb < 0.05 ? 'as it is' : `lowered ${withUnit(formatNumber(loweredDb, 1), 'dB')}`
