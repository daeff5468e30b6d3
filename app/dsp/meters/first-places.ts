// Where in a take something was found: the first places only, however long the
// take is and however often it happens.

/** How many places are kept. */
export const PLACES_KEPT = 20
/** Places closer than this are one place to a listener (common practice). */
const ONE_PLACE_SECONDS = 0.1

/** The first moments at which something was found. */
export class FirstPlaces {
  readonly #gapFrames: number
  readonly #frames = new Float64Array(PLACES_KEPT)
  #count = 0
  #last = -Infinity

  constructor(sampleRateHz: number) {
    this.#gapFrames = ONE_PLACE_SECONDS * sampleRateHz
  }

  get full(): boolean {
    return this.#count === PLACES_KEPT
  }

  /** Frames have to come in ascending order. */
  note(frame: number): void {
    if (frame - this.#last > this.#gapFrames && this.#count < PLACES_KEPT) this.#frames[this.#count++] = frame
    this.#last = frame
  }

  forget(): void {
    this.#count = 0
    this.#last = -Infinity
  }

  /** First frame of each place, rising. */
  frames(): Float64Array {
    return this.#frames.slice(0, this.#count)
  }
}

/** The first places of several lists (channels, polarities) together, in seconds. */
export function firstPlacesSeconds(lists: readonly FirstPlaces[], sampleRateHz: number): number[] {
  const merged = new FirstPlaces(sampleRateHz)
  const frames = lists.flatMap((list) => [...list.frames()]).sort((a, b) => a - b)
  for (const frame of frames) merged.note(frame)
  return [...merged.frames()].map((frame) => frame / sampleRateHz)
}
