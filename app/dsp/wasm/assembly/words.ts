// Samples to integer words as app/dsp/conversion/dither.ts makes them: TPDF dither from xoshiro128**,
// rounding, the two end words; and the words as bytes in the order of a file. And words to samples.

/**
 * One channel's samples to words, little-endian.
 * @param to where its first word goes
 * @param stride bytes from word to word
 * @param wordBytes 1 (offset by 128), 2 or 3
 * @param top 2^(bits - 1)
 * @param noise the generator's four words of 32 bits; 0 rounds without dither
 * @returns how many did not fit and were held at full scale; or -1 less the place of the
 *   first sample that is not finite
 */
export function writeWords(
  samples: usize,
  frames: i32,
  to: usize,
  stride: i32,
  wordBytes: i32,
  top: f64,
  noise: usize,
): i32 {
  const highest = top - 1
  const lowest = -top
  let s0: u32 = 0
  let s1: u32 = 0
  let s2: u32 = 0
  let s3: u32 = 0
  if (noise !== 0) {
    s0 = load<u32>(noise)
    s1 = load<u32>(noise, 4)
    s2 = load<u32>(noise, 8)
    s3 = load<u32>(noise, 12)
  }
  let clipped = 0
  let at = to
  for (let i = 0; i < frames; i++) {
    const sample = load<f64>(samples + (i << 3))
    // No number is less than or equal to itself less itself but a finite one.
    if (!(sample - sample === 0)) return -1 - i
    const scaled = sample * top
    let value = scaled
    if (noise !== 0) {
      const up = rotl<u32>(s1 * 5, 7) * 9
      let shifted = s1 << 9
      s2 ^= s0
      s3 ^= s1
      s1 ^= s2
      s0 ^= s3
      s2 ^= shifted
      s3 = rotl<u32>(s3, 11)
      const down = rotl<u32>(s1 * 5, 7) * 9
      shifted = s1 << 9
      s2 ^= s0
      s3 ^= s1
      s1 ^= s2
      s0 ^= s3
      s2 ^= shifted
      s3 = rotl<u32>(s3, 11)
      value = value + <f64>up * (1.0 / 4294967296.0) - <f64>down * (1.0 / 4294967296.0)
    }
    value = floor(value + 0.5)
    if (value > highest) value = highest
    else if (value < lowest) value = lowest
    // Judged before the dither, which must not add to the count.
    if (scaled >= top - 0.5) {
      value = highest
      clipped++
    } else if (scaled < lowest - 0.5) {
      value = lowest
      clipped++
    }
    const word = <i32>value
    if (wordBytes === 3) {
      store<u16>(at, <u16>word)
      store<u8>(at, <u8>(word >> 16), 2)
    } else if (wordBytes === 2) store<u16>(at, <u16>word)
    else store<u8>(at, <u8>(word + 128))
    at += stride
  }
  if (noise !== 0) {
    store<u32>(noise, s0)
    store<u32>(noise, s1, 4)
    store<u32>(noise, s2, 8)
    store<u32>(noise, s3, 12)
  }
  return clipped
}

/**
 * Signed words, little-endian, to samples; exactly. Reads 4 bytes from the start of every word.
 * @param stride bytes from word to word
 * @param wordBytes 1 to 4
 */
export function readWords(words: usize, frames: i32, stride: i32, wordBytes: i32, samples: usize): void {
  // What is read too much falls off; at the top of 32 bits the sign comes by itself.
  const shift = 32 - 8 * wordBytes
  const end = samples + (frames << 3)
  let at = words
  for (let to = samples; to < end; to += 8) {
    const word: i32 = load<i32>(at) << shift
    store<f64>(to, <f64>word * (1.0 / 2147483648.0))
    at += stride
  }
}
