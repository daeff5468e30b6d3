// Axes of a plot: range, grid lines with their labels, and the scale between values and pixels.

import { type ScaleContinuousNumeric, scaleLinear, scaleLog } from 'd3-scale'
import { formatNumber } from '../../../app/words/format.ts'
import { AUDIBLE_FREQUENCIES_HZ, OCTAVE_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'

/** A grid line across the field. */
export interface Tick {
  readonly value: number
  /** null draws the line without a label. */
  readonly label: string | null
  /** Draws a stronger line, for octaves among third octaves. */
  readonly isMajor?: boolean
}

/** Range, grid lines and label of one axis. */
export interface Axis {
  /** Unit or quantity, shown at the end of the axis. */
  readonly label: string
  /** Values at the ends of the field; both above 0 on a log axis. */
  readonly from: number
  readonly to: number
  readonly isLog?: boolean
  readonly ticks: readonly Tick[]
}

/** Maps values to pixels; `invert` maps back. Values beyond the axis are extrapolated. */
export type AxisScale = ScaleContinuousNumeric<number, number>

/** @param startPx @param endPx pixels of `from` and `to`; a level axis starts at its bottom */
export const axisScale = (
  { from, to, isLog }: Pick<Axis, 'from' | 'to' | 'isLog'>,
  startPx: number,
  endPx: number,
): AxisScale => (isLog === true ? scaleLog() : scaleLinear()).domain([from, to]).range([startPx, endPx])

const frequencyLabel = (frequencyHz: number): string =>
  frequencyHz < 1000 ? String(frequencyHz) : `${frequencyHz / 1000}k`

/** Log axis up to 20 kHz, with lines at the third octaves of ISO 266 and labels at the octaves. */
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
 * Linear axis with a line and a label at every multiple of `step`.
 * @param isSigned puts a plus before positive numbers
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
const MIN_STEP_PX = 26

/** A signed level axis in dB, with the smallest step whose labels fit a field of that height. */
export function levelAxis(label: string, fromDb: number, toDb: number, fieldPx: number): Axis {
  const stepDb =
    ROUND_STEPS_DB.find((step) => (step / (toDb - fromDb)) * fieldPx >= MIN_STEP_PX) ?? ROUND_STEPS_DB.at(-1)!
  return evenAxis(label, fromDb, toDb, stepDb, true)
}
