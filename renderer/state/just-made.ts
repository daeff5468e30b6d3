// The group or layer that was made last: Stack scrolls to it and focuses it as soon as it is there.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

export interface JustMade {
  readonly kind: 'group' | 'layer'
  readonly id: number
}

const justMade = createStore<{ readonly made: JustMade | null }>()(() => ({ made: null }))

/** null when there is none, or it has been shown. */
export const useJustMade = (): JustMade | null => useStore(justMade).made
/** To be shown when Stack has it. */
export const noteJustMade = (made: JustMade): void => justMade.setState({ made })
/** It has been shown. */
export const forgetJustMade = (): void => justMade.setState({ made: null })
