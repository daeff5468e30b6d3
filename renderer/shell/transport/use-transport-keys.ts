// The transport keys; they work in every place.

import { isOverlaid, isPressedBySpace, isSpaceTyped, isTakenElsewhere } from '../../keys/key-target.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'
import type { Player } from '../../playback/player.ts'
import { windowKeyActOf } from '../../state/single-keys.ts'

const isSpaceTaken = (target: EventTarget | null): boolean =>
  isOverlaid(target) || isSpaceTyped(target) || isPressedBySpace(target)

export function useTransportKeys(toggle: () => void, player: Player): void {
  // Before the focused control, because Space would otherwise press it.
  useKeyDown((event) => {
    const act = windowKeyActOf(event, 'everywhere')
    if (act === 'stop') {
      // Elsewhere Space stops, and lists with several selected items have this stroke.
      if (player.status === 'stopped' || !isSpaceTaken(event.target)) return
    } else if (act === 'play' ? isSpaceTaken(event.target) : isTakenElsewhere(event.target)) return
    switch (act) {
      case 'play':
        if (!event.repeat) toggle()
        break
      case 'stop':
        void player.stop()
        break
      case 'home':
        // In a fader, Home sets the lowest value.
        if (event.target instanceof HTMLInputElement) return
        player.seekToStart()
        break
      case 'sides':
        player.setSide(player.side === 'dry' ? 'processed' : 'dry')
        break
      case 'change':
        player.setSide(player.side === 'change' ? 'processed' : 'change')
        break
      case 'mono':
        player.setMono(!player.isMono)
        break
      case 'loop':
        player.setLooping(!player.isLooping)
        break
      default:
        return
    }
    event.preventDefault()
    event.stopPropagation()
  })
}
