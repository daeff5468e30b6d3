// Cuts a stream of blocks into overlapping frames.

interface Framer {
  /** Calls `take` with every completed frame: its samples, and the stream index of the first. */
  add(samples: Float64Array, count: number, take: (frame: Float64Array, startSample: number) => void): void
}

/** @param hop samples from one frame's start to the next, up to `points` */
export function createFramer(points: number, hop: number): Framer {
  const held = new Float64Array(points)
  let filled = 0
  let startSample = 0
  return {
    add(samples, count, take) {
      let read = 0
      while (read < count) {
        const more = Math.min(count - read, points - filled)
        for (let i = 0; i < more; i++) held[filled + i] = samples[read + i]
        read += more
        filled += more
        if (filled < points) return
        take(held, startSample)
        held.copyWithin(0, hop)
        filled = points - hop
        startSample += hop
      }
    },
  }
}
