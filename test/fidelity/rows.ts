// One row of the table of figures: what was measured in this run, the limit it is held
// to and where that comes from, and how far it is from it.

/** One of the readings a row is made of: the row shows the one closest to its limit. */
export interface Reading {
  readonly where: string
  readonly value: number
}

export interface Limit {
  readonly low: number
  readonly high: number
  readonly unit: string
  /** Digits after the point in the table. */
  readonly digits: number
  readonly source: string
}

export interface Row {
  readonly id: string
  readonly what: string
  readonly limit: Limit
  readonly readings: readonly Reading[]
  /** The reading closest to the limit, or farthest over it; null where nothing could be measured. */
  readonly worst: Reading | null
  /** Distance to the nearer end of the limit in its unit; negative where it falls short. */
  readonly margin: number | null
  readonly verdict: 'kept' | 'falls short' | 'not measured'
  /** Why nothing was measured. */
  readonly remark: string | null
}

export interface Figure {
  readonly id: string
  readonly title: string
  readonly rows: readonly Row[]
  readonly plots: readonly import('./plot.ts').Plot[]
}

/** At most `high`, at least `low`, or both. */
export function limitOf(
  ends: { readonly low?: number; readonly high?: number },
  unit: string,
  digits: number,
  source: string,
): Limit {
  return { low: ends.low ?? -Infinity, high: ends.high ?? Infinity, unit, digits, source }
}

export function rowOf(id: string, what: string, limit: Limit, readings: readonly Reading[]): Row {
  let worst: Reading | null = null
  let margin: number | null = null
  for (const reading of readings) {
    const distance = marginOf(reading.value, limit)
    if (margin !== null && distance >= margin) continue
    margin = distance
    worst = reading
  }
  const verdict = margin === null ? 'not measured' : margin >= 0 ? 'kept' : 'falls short'
  return {
    id,
    what,
    limit,
    readings,
    worst,
    margin,
    verdict,
    remark: readings.length === 0 ? 'nothing was measured' : null,
  }
}

/** A row whose outside tool or material is not on this machine. */
export function missingRow(id: string, what: string, limit: Limit, remark: string): Row {
  return { ...rowOf(id, what, limit, []), remark }
}

/** What is no number is as far over the limit as can be. */
function marginOf(value: number, { low, high }: Limit): number {
  if (Number.isNaN(value)) return -Infinity
  return Math.min(high === Infinity ? Infinity : high - value, low === -Infinity ? Infinity : value - low)
}

export const db = (ratio: number): number => 20 * Math.log10(ratio)

export const greatestOf = (samples: ArrayLike<number>): number => {
  let greatest = 0
  for (let i = 0; i < samples.length; i++) greatest = Math.max(greatest, Math.abs(samples[i]))
  return greatest
}

/** Greatest difference in dB re full scale; -Infinity where they are equal. */
export function nullDb(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let greatest = 0
  for (let i = 0; i < Math.max(a.length, b.length); i++) {
    greatest = Math.max(greatest, Math.abs((a[i] ?? 0) - (b[i] ?? 0)))
  }
  return db(greatest)
}

/** How many samples are not the same number. */
export function differingSamples(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let differing = Math.abs(a.length - b.length)
  for (let i = 0; i < Math.min(a.length, b.length); i++) if (a[i] !== b[i]) differing++
  return differing
}
