// Formats and parses a layer's offset in samples, milliseconds, or bars and beats.

import { formatNumber, withUnit } from '../format.ts'
import { parseTypedNumber } from '../typed-number.ts'

export const OFFSET_UNITS = ['samples', 'ms', 'bars'] as const
export type OffsetUnit = (typeof OFFSET_UNITS)[number]

export interface TimeBase {
  readonly sampleRateHz: number
  readonly tempoBpm: number | null
  readonly beatsPerBar: number
}

/** A time base with a known tempo, which bars and beats need. */
export interface Bars extends TimeBase {
  readonly tempoBpm: number
}

const PARTS_PER_BEAT = 100

export const framesPerBeat = (tempoBpm: number, sampleRateHz: number): number =>
  (60 / tempoBpm) * sampleRateHz

export const framesOfMs = (ms: number, sampleRateHz: number): number => Math.round((ms / 1000) * sampleRateHz)
const msOfFrames = (frames: number, sampleRateHz: number): number => (frames / sampleRateHz) * 1000

/** Bar, beat and hundredths of a beat; session time zero is 1.1.00, and earlier bars are 0 and below. */
export function formatBars(frames: number, base: Bars): string {
  const parts = Math.round((frames / framesPerBeat(base.tempoBpm, base.sampleRateHz)) * PARTS_PER_BEAT)
  const perBar = base.beatsPerBar * PARTS_PER_BEAT
  const bar = Math.floor(parts / perBar)
  const rest = parts - bar * perBar
  const beat = Math.floor(rest / PARTS_PER_BEAT)
  const hundredths = String(rest - beat * PARTS_PER_BEAT).padStart(2, '0')
  return `${formatNumber(bar + 1, 0)}.${beat + 1}.${hundredths}`
}

/** '3', '3.2' or '3.2.50' to frames; null for anything else, or a beat that the bar does not have. */
export function parseBars(text: string, base: Bars): number | null {
  const match = /^(-?\d+)(?:\.(\d+))?(?:\.(\d{1,2}))?$/.exec(text.replaceAll('\u2212', '-').trim())
  if (match === null) return null
  const bar = Number(match[1])
  const beat = match[2] === undefined ? 1 : Number(match[2])
  if (beat < 1 || beat > base.beatsPerBar) return null
  const hundredths = match[3] === undefined ? 0 : Number(match[3].padEnd(2, '0'))
  const beats = (bar - 1) * base.beatsPerBar + (beat - 1) + hundredths / PARTS_PER_BEAT
  return Math.round(beats * framesPerBeat(base.tempoBpm, base.sampleRateHz))
}

/** The unit itself, or ms in place of bars if the tempo is unknown. */
export const usableUnit = (unit: OffsetUnit, base: TimeBase): OffsetUnit =>
  unit === 'bars' && base.tempoBpm === null ? 'ms' : unit

export function formatOffset(frames: number, unit: OffsetUnit, base: TimeBase): string {
  if (unit === 'bars' && base.tempoBpm !== null) {
    return formatBars(frames, { ...base, tempoBpm: base.tempoBpm })
  }
  if (unit === 'samples') return formatNumber(frames, 0)
  return withUnit(formatNumber(msOfFrames(frames, base.sampleRateHz), 1), 'ms')
}

/** Parses a typed offset to frames; null if it is invalid. @param unit used if the text names none */
export function parseOffset(text: string, unit: OffsetUnit, base: TimeBase): number | null {
  const compact = text.trim().toLowerCase()
  const hasUnit = /[a-zµ]$/.test(compact)
  if (!hasUnit && unit === 'bars' && base.tempoBpm !== null) {
    return parseBars(compact, { ...base, tempoBpm: base.tempoBpm })
  }
  if (/(smp|samples?)$/.test(compact) || (!hasUnit && unit === 'samples')) {
    const samples = parseTypedNumber(compact, 'samples')
    return samples === null ? null : Math.round(samples)
  }
  const ms = parseTypedNumber(compact, 'ms')
  return ms === null ? null : framesOfMs(ms, base.sampleRateHz)
}

/** Moves by arrow key steps of one sample, one millisecond, or a hundredth of a beat. */
export function stepOffset(frames: number, steps: number, unit: OffsetUnit, base: TimeBase): number {
  if (unit === 'samples') return frames + steps
  if (unit === 'bars' && base.tempoBpm !== null) {
    return Math.round(frames + (steps * framesPerBeat(base.tempoBpm, base.sampleRateHz)) / PARTS_PER_BEAT)
  }
  return frames + framesOfMs(steps, base.sampleRateHz)
}
