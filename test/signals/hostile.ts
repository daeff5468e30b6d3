// Signals that a limiter must survive: as loud, as sudden and as square as they come.

import { createRandom } from '../../app/dsp/maths/random.ts'

/** Named signals of so many frames each; a seed gives the same ones again. */
export function hostileSignals(frames: number, seed: number): Record<string, Float64Array> {
  const random = createRandom(seed)
  const make = (at: (n: number) => number) => Float64Array.from({ length: frames }, (_, n) => at(n))
  return {
    'normal noise': make(() => random.normal()),
    'full-scale even noise': make(() => 2 * random.uniform() - 1),
    'square wave at +10 dB': make((n) => 3.2 * Math.sign(Math.sin(0.0731 * n))),
    'sparse impulses at +20 dB': make((n) => (n % 977 === 13 ? (n % 2 === 0 ? 10 : -10) : 0)),
    'one loud sample in silence': make((n) => (n === frames >> 1 ? 100 : 0)),
    '+40 dB steps': make((n) => (Math.floor(n / 3000) % 2 === 0 ? 0.1 : 10) * Math.sin(0.13 * n)),
    'fs/4 bursts between the samples': make(
      (n) => (Math.floor(n / 500) % 3 === 0 ? 0.1 : 3) * Math.sin((Math.PI * n) / 2 + Math.PI / 4),
    ),
    'noise with random levels to +40 dB': (() => {
      let level = 1
      return make((n) => {
        if (n % 400 === 0) level = 10 ** (4 * random.uniform() - 2)
        return level * (2 * random.uniform() - 1)
      })
    })(),
    'constant at +6 dB': make(() => 2),
  }
}
