// Removes notices after a time, but not while they have the pointer or the focus.

import { useEffect, useState } from 'react'
import { dismissNotice, lifeMsOf, type Notice } from '../../state/notices.ts'

/** @returns properties for the element that shows the notice */
export function useNoticeLife(notice: Notice) {
  const [isHeld, setHeld] = useState(false)
  useEffect(() => {
    const lifeMs = lifeMsOf(notice)
    if (isHeld || !Number.isFinite(lifeMs)) return
    const timer = window.setTimeout(() => dismissNotice(notice.id), lifeMs)
    return () => clearTimeout(timer)
  }, [notice, isHeld])
  return {
    onMouseEnter: () => setHeld(true),
    onMouseLeave: () => setHeld(false),
    onFocus: () => setHeld(true),
    onBlur: () => setHeld(false),
  }
}
