// Rounding and stepping of values that are set on plots.

import type { StageKind } from '../../../app/words/chain/setting-names.ts'
import type { Bounds } from '../bounds.ts'
import { nearestPreferredFrequency, stepPreferredFrequency } from '../preferred-frequencies.ts'
import { rangeOf } from './setting-fields.ts'

/** Clamps to bounds. */
export const within = (value: number, { min, max }: Bounds): number => Math.min(max, Math.max(min, value))

/** Rounds to a tenth and clamps to the bounds of the setting. */
export const tenthWithin = (kind: StageKind, key: string, value: number): number =>
  within(Math.round(value * 10) / 10, rangeOf(kind, key))

/** Rounds to the nearest preferred frequency (ISO 266), or with `isFine` to 1 Hz, and clamps. */
export const snappedFrequency = (frequencyHz: number, isFine: boolean, range: Bounds): number =>
  within(isFine ? Math.round(frequencyHz) : nearestPreferredFrequency(frequencyHz), range)

/** Moves by whole steps along the preferred frequencies (ISO 266), and clamps. */
export const steppedFrequency = (frequencyHz: number, steps: number, range: Bounds): number =>
  within(stepPreferredFrequency(frequencyHz, steps), range)
