// Auditioning proposed stages on a take, and playing a take from a given place.

import type { ChainStages } from '../../../app/contract/chain-document.ts'
import type { Take } from '../../../app/contract/entities.ts'
import { sourceOf } from '../../playback/heard.ts'
import { player, readPlayer } from '../../playback/player.ts'
import { readTried, setTried } from '../../state/tried.ts'

const isHeard = (takeId: number): boolean => {
  const { source } = readPlayer()
  return source?.target.kind === 'take' && source.target.takeId === takeId
}

const targetOf = (take: Take, sampleRateHz: number) =>
  ({ kind: 'take', takeId: take.id, sampleRateHz }) as const

/**
 * Plays the take with these stages. If it is already playing, they fade in without a restart.
 * @param lowerDb lowers it behind the stages
 */
export function audition(take: Take, sampleRateHz: number, stages: ChainStages, lowerDb = 0): void {
  setTried({ takeId: take.id, stages, lowerDb })
  const source = sourceOf(targetOf(take, sampleRateHz))
  player.setSide('processed')
  if (isHeard(take.id) && readPlayer().status === 'playing') void player.retune(source)
  else void player.play(source)
}

/** Ends the audition. Playback of the take continues without the stages. */
export function endAudition(): void {
  const tried = readTried()
  if (tried === null) return
  setTried(null)
  const { source } = readPlayer()
  if (source !== null && isHeard(tried.takeId)) void player.retune(sourceOf(source.target))
}

/** Plays the take from a time in seconds. */
export function playAt(take: Take, sampleRateHz: number, seconds: number): void {
  const frame = Math.max(0, Math.round(seconds * sampleRateHz))
  if (isHeard(take.id) && readPlayer().status === 'playing') player.seek(frame)
  else void player.play(sourceOf(targetOf(take, sampleRateHz)), frame)
}

/** Lead-in before a place. */
const LEAD_IN_S = 0.4

/** Plays the take from shortly before a place that starts at `fromS` seconds. */
export const playPlace = (take: Take, sampleRateHz: number, place: { readonly fromS: number }): void =>
  playAt(take, sampleRateHz, place.fromS - LEAD_IN_S)
