// A take's print: the sign of its waveform between 100 and 700 Hz, 1 bit per sample near
// 1.5 kHz. Two copies of one performance agree in nearly every bit at the right lag,
// whatever was done to their level; two performances of one line agree in half of them.

/** The print of a take. */
export interface VoicePrint {
  readonly rateHz: number
  /** Number of bits. */
  readonly length: number
  /** Packed, lowest bit first; 1 for above zero. */
  readonly bits: Uint8Array
}

interface PrintTaker {
  add(samples: Float64Array, from: number, count: number): void
  print(): VoicePrint
}

const FROM_HZ = 100

/** @param delaySamples delay of the samples, at their own rate; as many are left out at the start */
export function createPrintTaker(rateHz: number, delaySamples: number): PrintTaker {
  const keep = 1 - (2 * Math.PI * FROM_HZ) / rateHz
  let bits = new Uint8Array(1 << 12)
  let length = 0
  let toSkip = Math.round(delaySamples)
  let before = 0
  let slow = 0

  return {
    add(samples, from, count) {
      for (let n = from; n < from + count; n++) {
        const x = samples[n]
        slow = keep * slow + x - before
        before = x
        if (toSkip > 0) {
          toSkip--
          continue
        }
        if (length >> 3 === bits.length) {
          const grown = new Uint8Array(2 * bits.length)
          grown.set(bits)
          bits = grown
        }
        if (slow > 0) bits[length >> 3] |= 1 << (length & 7)
        length++
      }
    },
    print: () => ({ rateHz, length, bits: bits.slice(0, Math.ceil(length / 8)) }),
  }
}
