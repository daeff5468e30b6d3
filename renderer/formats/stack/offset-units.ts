// Formats and parses a layer's offset in samples, milliseconds, or bars and beats.

import {
  type Bars,
  formatBars,
  hasTempo,
  PARTS_PER_BEAT,
  type TimeBase,
} from '../../../app/words/bars/bar-words.ts'
import { frameOf, sectionOfBar, stepBeats, tempoSections } from '../../../app/words/bars/tempo-map.ts'
import { formatNumber, withUnit } from '../../../app/words/format.ts'
import { parseTypedNumber } from '../typed-number.ts'

export const OFFSET_UNITS = ['samples', 'ms', 'bars'] as const
export type OffsetUnit = (typeof OFFSET_UNITS)[number]

export const framesOfMs = (ms: number, sampleRateHz: number): number => Math.round((ms / 1000) * sampleRateHz)
const msOfFrames = (frames: number, sampleRateHz: number): number => (frames / sampleRateHz) * 1000

/** '3', '3.2' or '3.2.50' to frames; null for anything else, or a beat that the bar does not have. */
export function parseBars(text: string, base: Bars): number | null {
  const match = /^(-?\d+)(?:\.(\d+))?(?:\.(\d{1,2}))?$/.exec(text.replaceAll('\u2212', '-').trim())
  if (match === null) return null
  const bar = Number(match[1])
  const beat = match[2] === undefined ? 1 : Number(match[2])
  const sections = tempoSections(base)
  if (beat < 1 || beat > sectionOfBar(sections, bar).beatsPerBar) return null
  const hundredths = match[3] === undefined ? 0 : Number(match[3].padEnd(2, '0'))
  return Math.round(frameOf(sections, { bar, beat: beat - 1 + hundredths / PARTS_PER_BEAT }))
}

/** The unit itself, or ms in place of bars if the tempo is unknown. */
export const usableUnit = (unit: OffsetUnit, base: TimeBase): OffsetUnit =>
  unit === 'bars' && !hasTempo(base) ? 'ms' : unit

export function formatOffset(frames: number, unit: OffsetUnit, base: TimeBase): string {
  if (unit === 'bars' && hasTempo(base)) return formatBars(frames, base)
  if (unit === 'samples') return formatNumber(frames, 0)
  return withUnit(formatNumber(msOfFrames(frames, base.sampleRateHz), 1), 'ms')
}

/** Parses a typed offset to frames; null if it is invalid. @param unit used if the text names none */
export function parseOffset(text: string, unit: OffsetUnit, base: TimeBase): number | null {
  const compact = text.trim().toLowerCase()
  const hasUnit = /[a-zµ]$/.test(compact)
  if (!hasUnit && unit === 'bars' && hasTempo(base)) return parseBars(compact, base)
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
  if (unit === 'bars' && hasTempo(base))
    return Math.round(stepBeats(tempoSections(base), frames, steps / PARTS_PER_BEAT))
  return frames + framesOfMs(steps, base.sampleRateHz)
}
