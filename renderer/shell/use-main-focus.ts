// Moves the focus to the main thing of the place: after the place was opened by keyboard, and where the focus
// would be on nothing because what had it is gone.

import { useEffect } from 'react'
import { isOverlaid, isUsingKeyboard, leaveSpaceToPlayback } from '../keys/key-target.ts'
import { onMainFocusAsked } from '../state/main-focus.ts'
import { readSelection } from '../state/selection.ts'
import { mainThingOf } from './main-thing.ts'

/** Time for a place to load; then the place itself gets the focus. */
const LONGEST_WAIT_MS = 3000

const isNowhere = (): boolean => document.activeElement === null || document.activeElement === document.body

/** Removed, hidden or disabled. */
const isGone = (element: Element): boolean =>
  !element.isConnected || element.getClientRects().length === 0 || element.matches(':disabled')

/** A dialog gives the focus back within two frames after it has closed, if its opener is still there. */
const afterTwoFrames = (act: () => void): void => {
  requestAnimationFrame(() => requestAnimationFrame(act))
}

export function useMainFocus(): void {
  useEffect(() => {
    let last: Element | null = null
    let wasInDialog = false
    let isWanted = false
    let isChecking = false
    let deadline = 0

    const focus = (element: HTMLElement): void => {
      isWanted = false
      element.focus({ preventScroll: true })
      element.scrollIntoView({ block: 'nearest', inline: 'nearest' })
      leaveSpaceToPlayback()
    }
    const tryFocus = (): void => {
      if (!isWanted || isOverlaid(document.activeElement)) return
      const found = mainThingOf(readSelection().place)
      if (found !== null) focus(found)
    }
    const want = (): void => {
      isWanted = true
      clearTimeout(deadline)
      deadline = window.setTimeout(() => {
        const place = document.querySelector<HTMLElement>('main')
        if (isWanted && isNowhere() && place !== null) focus(place)
        isWanted = false
      }, LONGEST_WAIT_MS)
    }
    /** Whether what had the focus is gone. A press beside everything leaves it on nothing on purpose. */
    const isLost = (): boolean =>
      isNowhere() && last !== null && isGone(last) && (isUsingKeyboard() || wasInDialog)
    const check = (): void => {
      if (isWanted && !wasInDialog) tryFocus()
      if (isChecking || (!isWanted && !isLost())) return
      isChecking = true
      afterTwoFrames(() => {
        isChecking = false
        if (isOverlaid(document.activeElement)) return
        if (!isWanted && isLost()) want()
        tryFocus()
      })
    }

    const onPointer = (): void => {
      isWanted = false
    }
    const onFocus = ({ target }: FocusEvent): void => {
      if (!(target instanceof Element)) return
      last = target
      wasInDialog = target.closest('.dialog') !== null
      // The place has put it somewhere itself.
      if (target.closest('main') !== null) isWanted = false
    }
    const options = { capture: true }
    window.addEventListener('pointerdown', onPointer, options)
    window.addEventListener('focusin', onFocus, options)
    const observer = new MutationObserver(check)
    observer.observe(document.body, {
      childList: true,
      subtree: true,
      attributes: true,
      attributeFilter: ['disabled', 'hidden'],
    })
    const forget = onMainFocusAsked(() => {
      if (!isUsingKeyboard() && !wasInDialog) return
      want()
      // The place is rendered by then, also where it was open before.
      queueMicrotask(check)
    })
    return () => {
      window.removeEventListener('pointerdown', onPointer, options)
      window.removeEventListener('focusin', onFocus, options)
      observer.disconnect()
      forget()
      clearTimeout(deadline)
    }
  }, [])
}
