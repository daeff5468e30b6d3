// The greatest of the last so many values, at the cost of about one comparison per
// value: a queue keeps only values that no later one has matched or passed.
// Source: Lemire, "Streaming maximum-minimum filter using no more than three
// comparisons per element", 2006 (from memory; tested against plain search).

export interface SlidingMaximum {
  /** The queue's values, the places they came from, and head, length and place of the next value. */
  readonly memory: readonly Float64Array[]
  /** Replaces each value (0 or more) by the greatest of it and the window - 1 before it; 0 came before the first. */
  run(values: Float64Array, frames: number): void
}

/** @param window 1 or more */
export function createSlidingMaximum(window: number): SlidingMaximum {
  const kept = new Float64Array(window)
  const places = new Float64Array(window)
  const state = new Float64Array(3)
  return {
    memory: [kept, places, state],
    run(values, frames) {
      // As whole numbers: doubles index slowly.
      let head = state[0] | 0
      let length = state[1] | 0
      let place = state[2]
      for (let i = 0; i < frames; i++) {
        const value = values[i]
        if (length > 0 && places[head] <= place - window) {
          head = head + 1 === window ? 0 : head + 1
          length--
        }
        let tail = head + length - 1
        if (tail >= window) tail -= window
        while (length > 0 && kept[tail] <= value) {
          length--
          tail = tail === 0 ? window - 1 : tail - 1
        }
        const next = length === 0 ? head : tail + 1 === window ? 0 : tail + 1
        kept[next] = value
        places[next] = place
        length++
        place++
        values[i] = kept[head]
      }
      state[0] = head
      state[1] = length
      state[2] = place
    },
  }
}
