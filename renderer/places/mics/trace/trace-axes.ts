// Converts pixels of a picture to frequency and level, from two marks on each axis. The axes must be
// parallel to the sides of the picture; frequency is on a log scale.

import type { CurvePoints } from '../../../../app/contract/curve.ts'
import type { TraceMark } from '../../../../app/contract/entities.ts'
import { Failure } from '../../../../app/contract/failure.ts'
import { axisScale } from '../../../parts/plot/axis.ts'

/** A position in the picture, in fractional pixels from the top left. */
export interface TracePlace {
  readonly x: number
  readonly y: number
}

type MarkPair = readonly [TraceMark, TraceMark]

/** Conversion between pixels and values: frequency in Hz over x, level in dB over y. */
export interface TraceAxes {
  frequencyHzAt(x: number): number
  levelDbAt(y: number): number
  xOf(frequencyHz: number): number
  yOf(levelDb: number): number
}

/** Marks closer than this give no usable scale. */
const MIN_PIXELS = 8

/** @throws Failure `invalid-input` where marks are too close or their values do not form an axis */
export function traceAxes(frequencyMarks: MarkPair, levelMarks: MarkPair): TraceAxes {
  const [lowHz, highHz] = frequencyMarks
  const [lowDb, highDb] = levelMarks
  if (Math.abs(lowHz.x - highHz.x) < MIN_PIXELS) {
    throw refusal('The two frequency marks are too close together. Place them far apart on the axis.')
  }
  if (Math.abs(lowDb.y - highDb.y) < MIN_PIXELS) {
    throw refusal('The two level marks are too close together. Place them far apart on the axis.')
  }
  if (!(lowHz.value > 0 && highHz.value > 0)) {
    throw refusal('The frequencies of the marks must be above 0 Hz.')
  }
  if (lowHz.value === highHz.value) {
    throw refusal(
      'Both frequency marks have the same frequency. Enter the value that the axis shows at each.',
    )
  }
  if (lowDb.value === highDb.value) {
    throw refusal('Both level marks have the same level. Enter the value that the axis shows at each.')
  }
  if (highHz.value > lowHz.value !== highHz.x > lowHz.x) {
    throw refusal('The frequency marks are swapped: frequency must rise from left to right.')
  }
  const x = axisScale({ from: lowHz.value, to: highHz.value, isLog: true }, lowHz.x, highHz.x)
  const y = axisScale({ from: lowDb.value, to: highDb.value }, lowDb.y, highDb.y)
  return { frequencyHzAt: x.invert, levelDbAt: y.invert, xOf: x, yOf: y }
}

const refusal = (sentence: string): Failure => new Failure('invalid-input', sentence)

/**
 * The traced points as a curve; levels at the same frequency are averaged.
 * @throws Failure `invalid-input` with fewer than three frequencies
 */
export function curveOfPlaces(places: readonly TracePlace[], axes: TraceAxes): CurvePoints {
  const sorted = [...places].sort((a, b) => a.x - b.x)
  const frequenciesHz: number[] = []
  const levelsDb: number[] = []
  for (let i = 0; i < sorted.length; ) {
    const frequencyHz = Number(axes.frequencyHzAt(sorted[i]!.x).toPrecision(6))
    let sum = 0
    let next = i
    while (
      next < sorted.length &&
      Number(axes.frequencyHzAt(sorted[next]!.x).toPrecision(6)) === frequencyHz
    ) {
      sum += axes.levelDbAt(sorted[next++]!.y)
    }
    frequenciesHz.push(frequencyHz)
    levelsDb.push(Number((sum / (next - i)).toFixed(3)))
    i = next
  }
  if (frequenciesHz.length < 3) {
    throw refusal('A curve needs at least three points. Follow the line or add points along it.')
  }
  return { frequenciesHz, levelsDb }
}

/** Pixel positions of the points of a curve. */
export const placesOfCurve = (curve: CurvePoints, axes: TraceAxes): TracePlace[] =>
  curve.frequenciesHz.map((frequencyHz, i) => ({
    x: axes.xOf(frequencyHz),
    y: axes.yOf(curve.levelsDb[i]!),
  }))
