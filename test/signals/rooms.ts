// Rooms for dry takes: exponentially decaying noise, whose decay time is known because it was chosen (Polack's model
// of late reverberation).

import { createRealFft } from '../../app/dsp/maths/fft.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'

interface Room {
  /** Seconds in which its response falls by 60 dB; its early decay is the same, as it decays evenly. */
  readonly decaySeconds: number
  /** Level of the direct sound over that of all else, dB; left out where there is no direct sound. */
  readonly directDb?: number
}

/** The take as it sounds in a room, with the peak of the dry one; as long as the dry one. */
export function inRoom(dry: Float64Array, rateHz: number, { decaySeconds, directDb }: Room): Float64Array {
  const random = createRandom(17)
  const response = Float64Array.from(
    { length: Math.round(decaySeconds * rateHz) },
    (_, n) => random.normal() * 10 ** ((-3 * n) / (decaySeconds * rateHz)),
  )
  if (directDb !== undefined) {
    const power = response.reduce((sum, value) => sum + value * value, 0)
    response[0] = Math.sqrt(power) * 10 ** (directDb / 20)
  }
  const wet = convolved(dry, response).subarray(0, dry.length)
  const scale = peakOf(dry) / peakOf(wet)
  return wet.map((sample) => sample * scale)
}

/** By their Hartley transforms, which are their own inverse. */
function convolved(one: Float64Array, other: Float64Array): Float64Array {
  const size = 2 ** Math.ceil(Math.log2(one.length + other.length))
  const fft = createRealFft(size)
  const half = size / 2
  const spectrum = (input: Float64Array) => {
    const padded = new Float64Array(size)
    padded.set(input)
    const re = new Float64Array(half + 1)
    const im = new Float64Array(half + 1)
    fft.transform(padded, re, im)
    return { re, im }
  }
  const a = spectrum(one)
  const b = spectrum(other)
  const product = new Float64Array(size)
  for (let k = 0; k <= half; k++) {
    const re = a.re[k] * b.re[k] - a.im[k] * b.im[k]
    const im = a.re[k] * b.im[k] + a.im[k] * b.re[k]
    product[(size - k) % size] = re + im
    product[k] = re - im
  }
  const back = spectrum(product)
  return Float64Array.from({ length: size }, (_, n) =>
    n <= half ? (back.re[n] - back.im[n]) / size : (back.re[size - n] + back.im[size - n]) / size,
  )
}

const peakOf = (samples: Float64Array): number =>
  samples.reduce((peak, value) => Math.max(peak, Math.abs(value)), 0)
