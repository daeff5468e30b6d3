// The stretches of a take in which traces of coding are looked for: those with the loudest sound at high
// frequencies, because there the steps of a coder are large against the rounding of the take's samples.

/** Hops of all coders divide it: 1024 samples (and 128) of AAC and Vorbis, 576 of MPEG layer III. */
export const STRETCH_HOP = 9216
/** Samples behind a stretch's hop that its last frame reaches into. */
const FRAME_REACH = 2048
const LENGTH = STRETCH_HOP + FRAME_REACH
/** The sound has to last through all these parts of a stretch. */
const PARTS = 9
/** One in this many samples is enough to compare levels. */
const ONE_IN = 4

/** `STRETCH_HOP + FRAME_REACH` samples of a take; each begins at a multiple of `STRETCH_HOP`. */
export interface Stretch {
  readonly samples: Float64Array
  /** Mean over the parts of the logarithm of the power of the second difference. */
  readonly loudness: number
}

interface LoudStretches {
  /** Takes `count` samples, any number, from index `from` on. */
  add(samples: Float64Array, from: number, count: number): void
  /** The loudest first; without stretches that contain digital silence. */
  stretches(): readonly Stretch[]
}

/** @param most how many stretches are kept */
export function createLoudStretches(most: number): LoudStretches {
  const kept: Stretch[] = []
  let current: Float64Array = new Float64Array(LENGTH)
  let filled = 0

  function takeStretch(): void {
    const samples = current
    const loudness = loudnessOf(samples)
    if (loudness > (kept.length < most ? Number.NEGATIVE_INFINITY : kept[most - 1].loudness)) {
      const spare = kept.length < most ? undefined : kept.pop()
      const at = kept.findIndex((one) => one.loudness < loudness)
      kept.splice(at < 0 ? kept.length : at, 0, { samples, loudness })
      current = spare?.samples ?? new Float64Array(LENGTH)
    }
    current.set(samples.subarray(STRETCH_HOP))
    filled = FRAME_REACH
  }

  return {
    add(samples, from, count) {
      for (let read = 0; read < count; ) {
        const take = Math.min(count - read, LENGTH - filled)
        for (let i = 0; i < take; i++) current[filled + i] = samples[from + read + i]
        filled += take
        read += take
        if (filled === LENGTH) takeStretch()
      }
    },
    stretches: () => kept,
  }
}

function loudnessOf(samples: Float64Array): number {
  const part = STRETCH_HOP / PARTS
  let loudness = 0
  for (let p = 0; p < PARTS; p++) {
    let power = 0
    for (let n = p * part + 2; n < (p + 1) * part; n += ONE_IN) {
      const difference = samples[n] - 2 * samples[n - 1] + samples[n - 2]
      power += difference * difference
    }
    loudness += Math.log(power) / PARTS
  }
  return loudness
}
