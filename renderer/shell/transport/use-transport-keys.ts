// The transport keys; they work in every place.

import { useEffect, useRef } from 'react'
import { isPressedBySpace, isTakenElsewhere } from '../../keys/key-target.ts'
import type { Player } from '../../playback/player.ts'
import { windowKeyActOf } from '../../state/single-keys.ts'

export function useTransportKeys(toggle: () => void, player: Player): void {
  const latest = useRef({ toggle, player })
  latest.current = { toggle, player }

  useEffect(() => {
    const onKeyDown = (event: KeyboardEvent): void => {
      if (isTakenElsewhere(event.target)) return
      const now = latest.current
      switch (windowKeyActOf(event, 'everywhere')) {
        case 'play':
          if (isPressedBySpace(event.target)) return
          if (!event.repeat) now.toggle()
          break
        case 'home':
          // In a fader, Home sets the lowest value.
          if (event.target instanceof HTMLInputElement) return
          now.player.seekToStart()
          break
        case 'sides':
          now.player.setSide(now.player.side === 'dry' ? 'processed' : 'dry')
          break
        case 'loop':
          now.player.setLooping(!now.player.isLooping)
          break
        default:
          return
      }
      event.preventDefault()
      event.stopPropagation()
    }
    // In the capture phase, because Space would otherwise press the focused control.
    window.addEventListener('keydown', onKeyDown, { capture: true })
    return () => window.removeEventListener('keydown', onKeyDown, { capture: true })
  }, [])
}
