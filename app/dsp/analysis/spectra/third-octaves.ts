// The third-octave bands of the voice's long-term spectra: 50 Hz to 16 kHz.
// Source: IEC 61260-1:2014, base-ten system; nominal values of ISO 266:1997.

interface ThirdOctave {
  readonly nominalHz: number
  /** 1000 * 10^(x/10) */
  readonly midHz: number
  readonly lowerHz: number
  readonly upperHz: number
}

const NOMINAL_HZ = [
  50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
  5000, 6300, 8000, 10_000, 12_500, 16_000,
]
const FIRST_INDEX = -13

/** All bands from low to high. */
export const THIRD_OCTAVES: readonly ThirdOctave[] = NOMINAL_HZ.map((nominalHz, i) => {
  const x = FIRST_INDEX + i
  return {
    nominalHz,
    midHz: 1000 * 10 ** (x / 10),
    lowerHz: 1000 * 10 ** ((x - 0.5) / 10),
    upperHz: 1000 * 10 ** ((x + 0.5) / 10),
  }
})

/** Index in THIRD_OCTAVES of the band with this nominal frequency. @throws RangeError if there is none */
export function thirdOctaveAt(nominalHz: number): number {
  const at = NOMINAL_HZ.indexOf(nominalHz)
  if (at < 0) throw new RangeError(`there is no third octave of ${nominalHz} Hz from 50 Hz to 16 kHz`)
  return at
}
