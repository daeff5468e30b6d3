// Formats and parses a layer's offset in samples, milliseconds, or bars and beats.

import type { Session } from '../../../app/contract/entities.ts'
import { frameOf, type Metre, placeAt, sectionOfBar, stepBeats, tempoSections } from '../bars/tempo-map.ts'
import { formatNumber, withUnit } from '../format.ts'
import { parseTypedNumber } from '../typed-number.ts'

export const OFFSET_UNITS = ['samples', 'ms', 'bars'] as const
export type OffsetUnit = (typeof OFFSET_UNITS)[number]

/** Sample rate, tempo and metre of a session. */
export interface TimeBase extends Omit<Metre, 'tempoBpm'> {
  readonly tempoBpm: number | null
}

/** A time base with a known tempo, which bars and beats need. */
export type Bars = Metre

/** What of a session decides where its bars are. */
export const timeBaseOf = ({
  sampleRateHz,
  tempoBpm,
  beatsPerBar,
  beatUnit,
  tempoChanges,
}: Session): TimeBase => ({ sampleRateHz, tempoBpm, beatsPerBar, beatUnit, tempoChanges })

/** Whether the tempo of a session is known. */
export const hasTempo = (base: TimeBase): base is Bars => base.tempoBpm !== null

const PARTS_PER_BEAT = 100

export const framesOfMs = (ms: number, sampleRateHz: number): number => Math.round((ms / 1000) * sampleRateHz)
const msOfFrames = (frames: number, sampleRateHz: number): number => (frames / sampleRateHz) * 1000

/** Bar, beat and hundredths of a beat; session time zero is 1.1.00, and earlier bars are 0 and below. */
export function formatBars(frames: number, base: Bars): string {
  const { bar, beat } = placeAt(tempoSections(base), frames, PARTS_PER_BEAT)
  const whole = Math.floor(beat)
  const hundredths = String(Math.round((beat - whole) * PARTS_PER_BEAT)).padStart(2, '0')
  return `${formatNumber(bar, 0)}.${whole + 1}.${hundredths}`
}

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
