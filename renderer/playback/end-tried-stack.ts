// The end of a change of the stack that was only tried.

import { readTriedStack, setTriedStack } from '../state/tried.ts'
import { sourceOf } from './heard.ts'
import { player, readPlayer } from './player.ts'

/** Playback goes on without what was tried. */
export function endTriedStack(): void {
  if (readTriedStack() === null) return
  setTriedStack(null)
  const { source, side } = readPlayer()
  // Of the stack as it is, the difference is near to silence.
  if (side === 'change') player.setSide('processed')
  if (source?.target.kind === 'stack') void player.retune(sourceOf(source.target))
}
