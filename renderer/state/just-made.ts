// The group or layers that were made last: Stack scrolls to them and focuses them as soon as they are there.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'

/** Layers that were placed in one act belong together. */
export type JustMade =
  | { readonly kind: 'group'; readonly id: number }
  | { readonly kind: 'layers'; readonly ids: readonly number[] }

const justMade = createStore<{ readonly made: JustMade | null }>()(() => ({ made: null }))

/** null when there is none, or it has been shown. */
export const useJustMade = (): JustMade | null => useStore(justMade).made
/** To be shown when Stack has it. */
export const noteJustMade = (made: JustMade): void => justMade.setState({ made })
/** It has been shown. */
export const forgetJustMade = (): void => justMade.setState({ made: null })
