/**
 * Share of the mean magnitude of 16 neighbouring coefficients within which two of them count as equal: chance makes
 * about 0.3 % of the pairs equal, and rounding to 16 bits stays below it in sibilants.
 */
export const TOLERANCE = 0.003
