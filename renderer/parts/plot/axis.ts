// Axes of a plot: the range they cover, their rules and numbers, and the scale between values and pixels.

import { type ScaleContinuousNumeric, scaleLinear, scaleLog } from 'd3-scale'
import { formatNumber } from '../../formats/format.ts'
import { AUDIBLE_FREQUENCIES_HZ, OCTAVE_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'

/** A rule across the field. */
export interface Tick {
  readonly value: number
  /** null draws the rule without a number. */
  readonly label: string | null
  /** Draws a stronger rule, for octaves among third octaves. */
  readonly isMajor?: boolean
}

/** Range, rules and label of one axis. */
export interface Axis {
  /** Unit or quantity, shown at the end of the axis. */
  readonly label: string
  /** Values at the ends of the field; both above 0 on a log axis. */
  readonly from: number
  readonly to: number
  readonly isLog?: boolean
  readonly ticks: readonly Tick[]
}

/** From a value to its pixel when called; `invert` goes back. Values beyond the axis are extrapolated. */
export type AxisScale = ScaleContinuousNumeric<number, number>

/** @param startPx @param endPx pixels of `from` and `to`; the start of a level axis is its bottom */
export const axisScale = (
  { from, to, isLog }: Pick<Axis, 'from' | 'to' | 'isLog'>,
  startPx: number,
  endPx: number,
): AxisScale => (isLog === true ? scaleLog() : scaleLinear()).domain([from, to]).range([startPx, endPx])

const frequencyLabel = (frequencyHz: number): string =>
  frequencyHz < 1000 ? String(frequencyHz) : `${frequencyHz / 1000}k`

/** Up to 20 kHz on a log scale, ruled at the preferred third-octave frequencies of ISO 266, octaves numbered. */
export const frequencyAxis = (fromHz: number): Axis => ({
  label: 'Hz',
  from: fromHz,
  to: 20_000,
  isLog: true,
  ticks: AUDIBLE_FREQUENCIES_HZ.filter((value) => value >= fromHz).map((value) => {
    const isMajor = OCTAVE_FREQUENCIES_HZ.includes(value)
    return { value, label: isMajor ? frequencyLabel(value) : null, isMajor }
  }),
})

/** 20 Hz to 20 kHz. */
export const FREQUENCY_AXIS: Axis = frequencyAxis(20)

/**
 * Linear, ruled and numbered at every multiple of `step`.
 * @param isSigned writes a plus before positive numbers
 */
export function evenAxis(label: string, from: number, to: number, step: number, isSigned = false): Axis {
  const ticks: Tick[] = []
  for (let value = Math.ceil(from / step) * step; value <= to + step / 1000; value += step) {
    const text = formatNumber(value, step % 1 === 0 ? 0 : 1)
    ticks.push({ value, label: isSigned && value > 0 ? `+${text}` : text })
  }
  return { label, from, to, ticks }
}

const ROUND_STEPS_DB = [1, 2, 5, 10, 20]
const LEAST_STEP_PX = 26

/** A signed level axis in dB, ruled as finely as a field of that height can number. */
export function levelAxis(label: string, fromDb: number, toDb: number, fieldPx: number): Axis {
  const stepDb =
    ROUND_STEPS_DB.find((step) => (step / (toDb - fromDb)) * fieldPx >= LEAST_STEP_PX) ??
    ROUND_STEPS_DB.at(-1)!
  return evenAxis(label, fromDb, toDb, stepDb, true)
}
