// Asks that the focus go to the main thing of the open place, as after opening the place.

let listener: (() => void) | null = null

/** Sets who moves the focus; returns a function that ends this. */
export function onMainFocusAsked(ask: () => void): () => void {
  listener = ask
  return () => {
    listener = null
  }
}

/** Called when a place is opened. */
export const askForMainFocus = (): void => listener?.()
