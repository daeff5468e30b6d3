// Published measurements of speech, typed in from their tables.

/**
 * Byrne, Dillon, Tran et al. (1994), J. Acoust. Soc. Am. 96(4), 2108-2120, Table II: long-term RMS level in third
 * octaves, dB SPL at 70 dB SPL in all: nominal frequency in Hz, men, women.
 */
export const BYRNE_1994: readonly (readonly [nominalHz: number, menDb: number, womenDb: number])[] = [
  [63, 38.6, 37.0],
  [80, 43.5, 36.0],
  [100, 54.4, 37.5],
  [125, 57.7, 40.1],
  [160, 56.8, 53.4],
  [200, 58.2, 62.2],
  [250, 59.7, 60.9],
  [315, 60.0, 58.1],
  [400, 62.4, 61.7],
  [500, 62.6, 61.7],
  [630, 60.6, 60.4],
  [800, 55.7, 58.0],
  [1000, 53.1, 54.3],
  [1250, 53.7, 52.3],
  [1600, 52.3, 51.7],
  [2000, 48.7, 48.8],
  [2500, 48.9, 47.3],
  [3150, 47.0, 46.7],
  [4000, 46.0, 45.3],
  [5000, 44.4, 44.6],
  [6300, 43.3, 45.2],
  [8000, 42.4, 44.9],
  [10000, 41.9, 45.0],
  [12500, 39.8, 42.8],
  [16000, 40.4, 41.1],
]

/** ANSI S3.5-1997 (R2017), Table 3: speech spectrum level in dB SPL per Hz at third octaves: normal, raised effort. */
export const ANSI_S3_5_1997: readonly (readonly [nominalHz: number, normalDb: number, raisedDb: number])[] = [
  [160, 32.41, 33.81],
  [200, 34.48, 33.92],
  [250, 34.75, 38.98],
  [315, 33.98, 38.57],
  [400, 34.59, 39.11],
  [500, 34.27, 40.15],
  [630, 32.06, 38.78],
  [800, 28.3, 36.37],
  [1000, 25.01, 33.86],
  [1250, 23.0, 31.89],
  [1600, 20.15, 28.58],
  [2000, 17.32, 25.32],
  [2500, 13.18, 22.35],
  [3150, 11.55, 20.15],
  [4000, 9.33, 16.78],
  [5000, 5.31, 11.47],
  [6300, 2.59, 7.67],
  [8000, 1.13, 5.07],
]

/** Peterson & Barney (1952), J. Acoust. Soc. Am. 24, 175-184, Table II, men: word, F0, F1 to F3 in Hz. */
export const PETERSON_BARNEY_1952_MEN: readonly (readonly [
  word: string,
  f0: number,
  f1: number,
  f2: number,
  f3: number,
])[] = [
  ['heed', 136, 270, 2290, 3010],
  ['hid', 135, 390, 1990, 2550],
  ['head', 130, 530, 1840, 2480],
  ['had', 127, 660, 1720, 2410],
  ['hod', 124, 730, 1090, 2440],
  ['hawed', 129, 570, 840, 2410],
  ['hood', 137, 440, 1020, 2240],
  ["who'd", 141, 300, 870, 2240],
  ['hud', 130, 640, 1190, 2390],
  ['heard', 133, 490, 1350, 1690],
]
