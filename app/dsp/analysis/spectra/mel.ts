// The mel scale, on which bands are as wide as the ear's (formula of O'Shaughnessy, "Speech Communication", 1987).

const melOf = (hz: number): number => 2595 * Math.log10(1 + hz / 700)
const hzOf = (mel: number): number => 700 * (10 ** (mel / 2595) - 1)

/** Frequencies in Hz at `count` equal steps of the mel scale, both ends included. */
export function melSteps(fromHz: number, toHz: number, count: number): Float64Array {
  const from = melOf(fromHz)
  const step = (melOf(toHz) - from) / (count - 1)
  return Float64Array.from({ length: count }, (_, i) => hzOf(from + i * step))
}
