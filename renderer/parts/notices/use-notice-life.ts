// Lets good news go by itself, but not while somebody points at it or stands on it.

import { useEffect, useState } from 'react'
import { dismissNotice, lifeMsOf, type Notice } from '../../state/notices.ts'

/** Properties of the element that shows the notice. */
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
