// Decibels to gains and back. exp is used instead of pow: in V8 it is several times
// faster, and these run once per sample in the dynamics.

const NEPERS_PER_DB = Math.LN10 / 20
const DB_PER_NEPER = 20 / Math.LN10

/** Amplitude ratio of a level difference in dB. */
export function gainFromDb(db: number): number {
  return Math.exp(db * NEPERS_PER_DB)
}

/** Level difference in dB of an amplitude ratio; -Infinity for 0. */
export function dbFromGain(gain: number): number {
  return Math.log(gain) * DB_PER_NEPER
}

/** Level in dB of a mean square (power); -Infinity for 0. */
export function dbFromPower(power: number): number {
  return Math.log(power) * (DB_PER_NEPER / 2)
}
