// What versions of a chain are compared on: a take by itself, or the whole stack with one group through each of them.

import type { ChainStages } from '../../../app/contract/chain-document.ts'
import type { Take } from '../../../app/contract/entities.ts'
import type { PlaybackSource } from '../../../app/contract/playback.ts'
import { endTriedStack } from '../../playback/end-tried-stack.ts'
import { sourceOf } from '../../playback/heard.ts'
import { player, readPlayer } from '../../playback/player.ts'
import { setTriedStack } from '../../state/tried.ts'
import { audition, endAudition } from '../voice/audition.ts'

export interface EarTarget {
  /** As in 'On Lead 1.' */
  readonly on: string
  /** What keeps its place when the version is switched. */
  readonly placeIn: 'take' | 'song'
  /** What is played to measure the loudness of a version. */
  source(stages: ChainStages): PlaybackSource
  /** Plays it through a version, or switches to that by a crossfade where it plays already. */
  hear(stages: ChainStages, lowerDb: number): void
  /** Playback goes on without the version. */
  end(): void
}

/** A take through the versions. */
export const takeTarget = (take: Take, sampleRateHz: number): EarTarget => ({
  on: `On ${take.name}.`,
  placeIn: 'take',
  source: (stages) => ({
    target: { kind: 'take', takeId: take.id, sampleRateHz },
    draft: { groupId: null, stages },
  }),
  hear: (stages, lowerDb) => audition(take, sampleRateHz, stages, lowerDb),
  end: endAudition,
})

/** @param groupId whose chain is compared; null for the chain that all groups share */
export function stackTarget(sessionId: number, groupId: number | null, groupName: string): EarTarget {
  const target = { kind: 'stack', sessionId } as const
  return {
    on: `On the whole stack, ${groupId === null ? 'through the shared chain' : `${groupName} through each version`}.`,
    placeIn: 'song',
    // Compared with the stack as it is saved.
    source: (stages) => ({ target, draft: { groupId, stages }, tried: [] }),
    hear(stages, lowerDb) {
      setTriedStack({ sessionId, layers: [], draft: { groupId, stages }, lowerDb })
      player.setSide('processed')
      const { source, status } = readPlayer()
      const isHeard = source?.target.kind === 'stack' && status === 'playing'
      if (isHeard) void player.retune(sourceOf(target))
      else void player.play(sourceOf(target))
    },
    end: endTriedStack,
  }
}
