// Seeded noise in one channel.

import { createRandom } from '../../app/dsp/maths/random.ts'

/** White noise, even over [-peak, peak). */
export function whiteNoise(frames: number, seed: number, peak = 0.5): Float64Array {
  const random = createRandom(seed)
  return Float64Array.from({ length: frames }, () => peak * (2 * random.uniform() - 1))
}
