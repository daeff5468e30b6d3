// Preferred one-third-octave frequencies in Hz (ISO 266:1997), used as the steps of frequency fields.

/** One decade of the preferred numbers, in third octaves. */
const DECADE = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8] as const

/** 16 Hz to 20 kHz. */
export const PREFERRED_FREQUENCIES_HZ: readonly number[] = [10, 100, 1000, 10_000]
  .flatMap((decade) => DECADE.map((step) => Math.round(step * decade * 100) / 100))
  .filter((frequencyHz) => frequencyHz >= 16 && frequencyHz <= 20_000)

/** The preferred frequencies in the audible range: 20 Hz to 20 kHz. */
export const AUDIBLE_FREQUENCIES_HZ: readonly number[] = PREFERRED_FREQUENCIES_HZ.filter(
  (frequencyHz) => frequencyHz >= 20,
)

/** Octaves from 31.5 Hz to 16 kHz: every third preferred frequency, counted from 1 kHz. */
export const OCTAVE_FREQUENCIES_HZ: readonly number[] = PREFERRED_FREQUENCIES_HZ.filter(
  (_, i, all) => i > 0 && (i - all.indexOf(1000)) % 3 === 0,
)

// Relative tolerance, so that a value that differs only by rounding counts as the preferred frequency.
const CLOSE = 1e-6

/**
 * Moves `steps` preferred frequencies up (negative: down), and stops at the ends of the list.
 * From a frequency between two of them, the first step goes to the neighbour.
 */
export function stepPreferredFrequency(frequencyHz: number, steps: number): number {
  const list = PREFERRED_FREQUENCIES_HZ
  const up = steps > 0
  const first = up
    ? list.findIndex((preferred) => preferred > frequencyHz * (1 + CLOSE))
    : list.findLastIndex((preferred) => preferred < frequencyHz * (1 - CLOSE))
  if (first === -1) return up ? list.at(-1)! : list[0]!
  const wanted = first + (up ? steps - 1 : steps + 1)
  return list[Math.min(list.length - 1, Math.max(0, wanted))]!
}

/** The nearest preferred frequency on a logarithmic scale. */
export const nearestPreferredFrequency = (frequencyHz: number): number =>
  PREFERRED_FREQUENCIES_HZ.reduce((best, preferred) =>
    Math.abs(Math.log(preferred / frequencyHz)) < Math.abs(Math.log(best / frequencyHz)) ? preferred : best,
  )
