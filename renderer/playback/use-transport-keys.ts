// The transport's keys: Space plays and stops, D switches dry and processed, L loops.

import { useEffect, useRef } from 'react'
import { isTyping } from '../shell/use-shortcuts.ts'
import type { Player } from './player.ts'

/**
 * Space belongs to a control only while the keyboard has brought the focus there: after
 * a click on a button the next Space is meant for the transport, as everywhere in the trade.
 */
const isPressedBySpace = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest('[data-focus-visible], [role="option"], [role="menuitem"], summary') !== null &&
  target.closest('[role="slider"]') === null

export function useTransportKeys(toggle: () => void, player: Player): void {
  const latest = useRef({ toggle, player })
  latest.current = { toggle, player }

  useEffect(() => {
    const onKeyDown = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return
      if (document.querySelector('[aria-modal="true"], .dialog') !== null) return
      const now = latest.current
      if (event.code === 'Space' && !isPressedBySpace(event.target)) {
        if (!event.repeat) now.toggle()
      } else if (event.key.toLowerCase() === 'd' && !event.shiftKey) {
        now.player.setSide(now.player.side === 'dry' ? 'processed' : 'dry')
      } else if (event.key.toLowerCase() === 'l' && !event.shiftKey) {
        now.player.setLooping(!now.player.isLooping)
      } else return
      event.preventDefault()
      event.stopPropagation()
    }
    // Ahead of the controls, which would take Space for a press of their own.
    window.addEventListener('keydown', onKeyDown, { capture: true })
    return () => window.removeEventListener('keydown', onKeyDown, { capture: true })
  }, [])
}
