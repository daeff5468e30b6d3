// A list of doubles that grows by doubling: for facts kept per tenth of a second,
// where a three-hour take makes about a hundred thousand of them.

/** Append-only list of doubles. */
export class GrowingDoubles {
  #store = new Float64Array(1024)
  #length = 0

  get length(): number {
    return this.#length
  }

  push(value: number): void {
    if (this.#length === this.#store.length) {
      const grown = new Float64Array(this.#store.length * 2)
      grown.set(this.#store)
      this.#store = grown
    }
    this.#store[this.#length++] = value
  }

  /** The values so far, as a view of the store; a later push may replace the store. */
  values(): Float64Array {
    return this.#store.subarray(0, this.#length)
  }
}
