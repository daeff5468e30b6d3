// Runs acts of a dialog one at a time, and keeps the failure of the last one for the dialog to show.

import { useState } from 'react'
import { messageOf } from '../../state/notices.ts'

/** Runs an act; a failure is shown by the dialog. */
export type Tell = (act: () => Promise<unknown>) => Promise<void>

export function useTelling(): { readonly failure: string | null; readonly tell: Tell } {
  const [failure, setFailure] = useState<string | null>(null)
  return {
    failure,
    async tell(act) {
      setFailure(null)
      try {
        await act()
      } catch (error) {
        setFailure(messageOf(error))
      }
    },
  }
}
