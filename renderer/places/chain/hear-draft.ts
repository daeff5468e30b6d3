// Keeps playback up to date with the draft being edited, at most every 60 ms.

import { sourceOf } from '../../playback/heard.ts'
import { player, readPlayer } from '../../playback/player.ts'
import { watchHeardDraft } from '../../state/chain/heard-draft.ts'

const PACE_MS = 60

/** Follows the draft until the returned function is called. */
export function hearDraft(): () => void {
  let heard = ''
  let lastAt = 0
  let timer: number | undefined

  const tune = (): void => {
    const { source } = readPlayer()
    if (source === null) return
    const next = sourceOf(source.target)
    const fingerprint = JSON.stringify(next)
    if (fingerprint === heard) return
    heard = fingerprint
    lastAt = performance.now()
    void player.retune(next)
  }
  const follow = (): void => {
    clearTimeout(timer)
    const waitMs = PACE_MS - (performance.now() - lastAt)
    // Without a timer if possible, to be ahead of the next repaint.
    if (waitMs <= 0) tune()
    else timer = window.setTimeout(tune, waitMs)
  }
  follow()
  const stopWatching = watchHeardDraft(follow)
  return () => {
    stopWatching()
    clearTimeout(timer)
    tune()
  }
}
