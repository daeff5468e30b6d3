// Plays one take alone; stops it if it is heard already.

import type { Session, Take } from '../../../app/contract/entities.ts'
import { player, readPlayer, usePlayer } from '../../playback/player.ts'

/** Id of the take that is heard alone now. */
export function useHeardTake(): number | null {
  const { source, status } = usePlayer()
  return status !== 'stopped' && source?.target.kind === 'take' ? source.target.takeId : null
}

/** Plays the take, or stops it if it is heard. */
export function hearTake(take: Pick<Take, 'id'>, { sampleRateHz }: Pick<Session, 'sampleRateHz'>): void {
  const { source, status } = readPlayer()
  const isHeard = status !== 'stopped' && source?.target.kind === 'take' && source.target.takeId === take.id
  if (isHeard) void player.stop()
  else void player.play({ target: { kind: 'take', takeId: take.id, sampleRateHz }, draft: null })
}
