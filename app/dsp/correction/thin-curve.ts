// A curve with fewer points, for paper.

import type { Curve } from './curve.ts'

/**
 * Keeps as few points as give all others within a tolerance, on straight lines over the logarithm of frequency (Douglas
 * and Peucker, Cartographica 10(2), 1973, from memory, with the distance taken in dB). The ends are kept.
 * @param toleranceDb 0 or more
 */
export function thinCurve({ frequenciesHz, levelsDb }: Curve, toleranceDb: number): Curve {
  const x = frequenciesHz.map(Math.log)
  const last = x.length - 1
  const isKept = new Uint8Array(x.length)
  const open: (readonly [number, number])[] = [[0, last]]
  for (let span = open.pop(); span !== undefined; span = open.pop()) {
    const [from, to] = span
    isKept[from] = 1
    isKept[to] = 1
    const slope = (levelsDb[to] - levelsDb[from]) / (x[to] - x[from])
    let farthest = from
    let mostDb = toleranceDb
    for (let i = from + 1; i < to; i++) {
      const offDb = Math.abs(levelsDb[i] - levelsDb[from] - slope * (x[i] - x[from]))
      if (offDb > mostDb) {
        mostDb = offDb
        farthest = i
      }
    }
    if (farthest !== from) open.push([from, farthest], [farthest, to])
  }
  return {
    frequenciesHz: frequenciesHz.filter((_, i) => isKept[i] === 1),
    levelsDb: levelsDb.filter((_, i) => isKept[i] === 1),
  }
}
