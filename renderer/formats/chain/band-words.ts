// Bands named by what they do, and the strand of the voice that they stand in.

import type { Band } from '../../../app/contract/chain-document.ts'
import { STRANDS } from '../../../app/contract/joints.ts'
import { formatFrequency } from '../../../app/words/format.ts'

/** As in 'cut 315 Hz', 'boost above 8 kHz'; 'flat' where the gain is 0 dB. */
export function nameOfBand({
  shape,
  frequencyHz,
  gainDb,
}: Pick<Band, 'shape' | 'frequencyHz' | 'gainDb'>): string {
  const does = gainDb < 0 ? 'cut' : gainDb > 0 ? 'boost' : 'flat'
  const where = shape === 'bell' ? '' : shape === 'low-shelf' ? 'below ' : 'above '
  return `${does} ${where}${formatFrequency(frequencyHz)}`
}

/** Colour of the strand that a frequency is in, as CSS. */
export const strandColourAt = (frequencyHz: number): string =>
  `var(--strand-${(STRANDS.find(({ toHz }) => frequencyHz < toHz) ?? STRANDS[STRANDS.length - 1]).name})`

/** Range in which a new band is placed: that of a voice's fundamental and its consonants. */
const NEW_BAND_HZ = { from: 100, to: 10_000 }

/** The middle of the widest stretch without a band, in octaves; 1 kHz where there is none. */
export function freeFrequency(bands: readonly Pick<Band, 'frequencyHz'>[]): number {
  const { from, to } = NEW_BAND_HZ
  const inside = bands.map(({ frequencyHz }) => frequencyHz).filter((hz) => hz > from && hz < to)
  const ends = [from, ...inside.sort((a, b) => a - b), to]
  let widest = 0
  for (let k = 1; k < ends.length - 1; k++) {
    if (ends[k + 1] / ends[k] > ends[widest + 1] / ends[widest]) widest = k
  }
  return Math.sqrt(ends[widest] * ends[widest + 1])
}
