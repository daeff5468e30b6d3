// Lets the chain on the table be heard while it is changed, at most every 60 ms.

import { sourceOf } from '../../playback/heard.ts'
import { player, readPlayer } from '../../playback/player.ts'
import { watchChainDraft } from '../../state/chain/chain-draft.ts'

const PACE_MS = 60

/** Follows the table until the returned way out is taken. */
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
    // At once where it may be: the window is drawn anew only after this, and that takes its time.
    if (waitMs <= 0) tune()
    else timer = window.setTimeout(tune, waitMs)
  }
  follow()
  const stopWatching = watchChainDraft(follow)
  return () => {
    stopWatching()
    clearTimeout(timer)
    tune()
  }
}
