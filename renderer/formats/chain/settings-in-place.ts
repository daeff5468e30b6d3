// Rounding and stepping of values that are set on lines and curves.

import type { Bounds } from '../bounds.ts'
import { nearestPreferredFrequency, stepPreferredFrequency } from '../preferred-frequencies.ts'
import type { StageKind } from './chain-rows.ts'
import { rangeOf } from './setting-fields.ts'

export const within = (value: number, { min, max }: Bounds): number => Math.min(max, Math.max(min, value))

/** To a tenth, and within the range of the setting. */
export const tenthWithin = (kind: StageKind, key: string, value: number): number =>
  within(Math.round(value * 10) / 10, rangeOf(kind, key))

/** To the nearest preferred frequency, or with fine to the whole hertz; within the given range. */
export const snappedFrequency = (frequencyHz: number, isFine: boolean, range: Bounds): number =>
  within(isFine ? Math.round(frequencyHz) : nearestPreferredFrequency(frequencyHz), range)

export const steppedFrequency = (frequencyHz: number, steps: number, range: Bounds): number =>
  within(stepPreferredFrequency(frequencyHz, steps), range)
