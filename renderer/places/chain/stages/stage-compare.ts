// Compares the selected stage with its input: the dry side plays the take through the stages
// before it, the processed side also through the stage itself, at matched loudness.

import type { PlaybackTarget } from '../../../../app/contract/playback.ts'
import { sourceOf } from '../../../playback/heard.ts'
import { player, playheadFrame, readPlayer } from '../../../playback/player.ts'
import { readHeardDraft, setComparing } from '../../../state/chain/heard-draft.ts'
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
