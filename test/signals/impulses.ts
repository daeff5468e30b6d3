// Single samples in silence.

/** An impulse of height 1 at one frame. */
export function impulse(frames: number, atFrame = 0): Float64Array {
  const samples = new Float64Array(frames)
  samples[atFrame] = 1
  return samples
}
