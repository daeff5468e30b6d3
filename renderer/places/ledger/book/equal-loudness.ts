// Hearing two versions of a chain on one take at equal loudness: the louder one is lowered by a trim behind it.

import { type ChainStages, defaultStages } from '../../../../app/contract/chain-document.ts'
import { client } from '../../../state/connection.ts'

/** Measuring ends when this much of the voice has been heard. */
const ACTIVE_SECONDS = 20

interface HeardTake {
  readonly takeId: number
  readonly sampleRateHz: number
}

/** Each version with its trim, ready to be played; `differenceLu` is the second minus the first as they are. */
export interface EquallyLoud {
  readonly stages: readonly [ChainStages, ChainStages]
  readonly differenceLu: number
}

/** null if the take has nothing to compare the loudness by. */
export async function equallyLoud(
  take: HeardTake,
  versions: readonly [ChainStages, ChainStages],
  signal: AbortSignal,
): Promise<EquallyLoud | null> {
  const first = await loudnessOver(take, versions[0], signal)
  const second = await loudnessOver(take, versions[1], signal)
  if (first === null || second === null) return null
  const differenceLu = second - first
  return {
    differenceLu,
    stages: [lowered(versions[0], -differenceLu), lowered(versions[1], differenceLu)],
  }
}

/** By as much as the version is louder than the other, in dB. */
function lowered(stages: ChainStages, louderDb: number): ChainStages {
  if (louderDb <= 0) return stages
  const { trim } = defaultStages
  return [...stages, { ...trim, settings: { ...trim.settings, gainDb: -Math.min(louderDb, 24) } }]
}

/** How much louder than the take itself; null if nothing of it is loud enough to measure. */
async function loudnessOver(
  { takeId, sampleRateHz }: HeardTake,
  stages: ChainStages,
  signal: AbortSignal,
): Promise<number | null> {
  const opened = await client.openPlayback(
    { target: { kind: 'take', takeId, sampleRateHz }, draft: { groupId: null, stages } },
    { signal },
  )
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
