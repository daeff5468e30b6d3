// Parses a typed number with or without a unit: '-3 dB', '−3', '1.2 k', '1,2 kHz', '0.5 s'.

/** For each unit of a field, the accepted spellings and their factors to that unit. */
const UNITS = {
  dB: { db: 1, dbfs: 1, dbtp: 1, lu: 1 },
  dBFS: { db: 1, dbfs: 1 },
  dBTP: { db: 1, dbtp: 1, dbfs: 1 },
  LUFS: { lufs: 1, lu: 1, db: 1 },
  Hz: { hz: 1, k: 1000, khz: 1000 },
  ms: { ms: 1, s: 1000, µs: 0.001, us: 0.001 },
  s: { s: 1, ms: 0.001, min: 60 },
  '%': { '%': 1, percent: 1 },
  ':1': { ':1': 1 },
  samples: { samples: 1, sample: 1, smp: 1 },
  BPM: { bpm: 1 },
  m: { m: 1, cm: 0.01, mm: 0.001 },
  '': {},
} as const satisfies Record<string, Record<string, number>>

export type Unit = keyof typeof UNITS

const NUMBER = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))(.*)$/

/**
 * @param unit the unit of the field, assumed for a number without a unit
 * @returns the number in that unit; null if the text is not a number or its unit does not fit
 */
export function parseTypedNumber(text: string, unit: Unit): number | null {
  // The fields themselves show U+2212 as the minus sign.
  const compact = text.replaceAll('\u2212', '-').replaceAll(/\s/g, '').toLowerCase()
  const match = NUMBER.exec(compact)
  if (match === null) return null
  const value = Number(match[1]!.replace(',', '.'))
  if (!Number.isFinite(value)) return null
  const spelling = match[2]!
  if (spelling === '') return value
  const worth = (UNITS[unit] as Record<string, number>)[spelling]
  return worth === undefined ? null : value * worth
}
