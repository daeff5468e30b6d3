// Compares the selected stage with its input: the dry side plays the take through the stages
// before it, the processed side also through the stage itself, at matched loudness.

import type { PlaybackTarget } from '../../../../app/contract/playback.ts'
import { sourceOf } from '../../../playback/heard.ts'
import { player, playheadFrame, readPlayer } from '../../../playback/player.ts'
import { readDraft } from '../../../state/chain/chain-draft.ts'
import {
  readCurrentChain,
  readHeardDraft,
  setComparing,
  watchHeardDraft,
} from '../../../state/chain/heard-draft.ts'
import type { OwnedChain } from '../../../state/chain/use-chain-owner.ts'

/** What was played before, to return to. */
let heardBefore: PlaybackTarget | null = null

/** Turns the comparison on and plays the current take, or turns it off and resumes what was played before. */
export function toggleStageCompare({ contents, group, take, owner }: OwnedChain): void {
  if (take === null) return
  const isOn = readHeardDraft()?.comparedStage !== null
  const { status, source } = readPlayer()
  const isPlaying = status !== 'stopped'
  const layer = contents.layers.find(
    (one) => one.takeId === take.id && (owner.groupId === null || one.groupId === group?.id),
  )
  const offset = layer?.offsetSamples ?? 0
  if (isOn) {
    setComparing(false)
    if (isPlaying && heardBefore !== null) {
      void player.play(sourceOf(heardBefore), Math.round(playheadFrame()) + offset)
    }
    return
  }
  setComparing(true)
  if (isPlaying && source?.target.kind === 'take' && source.target.takeId === take.id) {
    heardBefore = null
    return
  }
  heardBefore = isPlaying ? (source?.target ?? null) : null
  const from = heardBefore === null || heardBefore.kind === 'take' ? undefined : playheadFrame() - offset
  player.setSide('processed')
  void player.play(
    sourceOf({ kind: 'take', takeId: take.id, sampleRateHz: contents.session.sampleRateHz }),
    from === undefined ? undefined : Math.round(from),
  )
}

/** The stage that is compared; null for none. */
function comparedKey(): number | null {
  const chain = readCurrentChain()
  if (chain === null || readHeardDraft()?.comparedStage == null) return null
  return readDraft(chain.owner)?.selectedKey ?? null
}

/**
 * Goes back to the processed side when another stage is compared or the comparison ends: 'Before' is meant for one
 * stage, and would be the dry side of the whole chain afterwards. Until the returned function is called.
 */
export function followStageCompare(): () => void {
  let last = comparedKey()
  return watchHeardDraft(() => {
    const now = comparedKey()
    if (last !== null && now !== last) player.setSide('processed')
    last = now
  })
}
