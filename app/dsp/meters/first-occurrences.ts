// Collects where in a take something was found. Keeps only the first places, so that memory does not grow
// with the take.

/** Number of places that are kept. */
export const MAX_OCCURRENCES = 20
/** Places closer together than this count as one (common practice). */
const ONE_PLACE_SECONDS = 0.1

/** The first moments at which something was found. */
export class FirstOccurrences {
  readonly #gapFrames: number
  readonly #frames = new Float64Array(MAX_OCCURRENCES)
  #count = 0
  #last = -Infinity

  constructor(sampleRateHz: number) {
    this.#gapFrames = ONE_PLACE_SECONDS * sampleRateHz
  }

  get full(): boolean {
    return this.#count === MAX_OCCURRENCES
  }

  /** Call with frames in ascending order. */
  note(frame: number): void {
    if (frame - this.#last > this.#gapFrames && this.#count < MAX_OCCURRENCES)
      this.#frames[this.#count++] = frame
    this.#last = frame
  }

  forget(): void {
    this.#count = 0
    this.#last = -Infinity
  }

  /** First frame of each place, in ascending order. */
  frames(): Float64Array {
    return this.#frames.slice(0, this.#count)
  }
}

/** Merges the places of several lists (channels, polarities) and returns the first ones, in seconds. */
export function firstOccurrenceSeconds(lists: readonly FirstOccurrences[], sampleRateHz: number): number[] {
  const merged = new FirstOccurrences(sampleRateHz)
  const frames = lists.flatMap((list) => [...list.frames()]).sort((a, b) => a - b)
  for (const frame of frames) merged.note(frame)
  return [...merged.frames()].map((frame) => frame / sampleRateHz)
}
