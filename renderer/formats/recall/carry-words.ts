// What remains between a chain on the old mic and on the new one, in words.

import type { CarryPlan } from '../../../app/contract/correction.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../app/words/format.ts'

const dB = (value: number): string => withUnit(formatNumber(value, 2), 'dB')

/** The difference with the frequency range it was measured over. */
export const carryDifference = ({
  rmsDb,
  maxDb,
  maxAtHz,
  fromHz,
  toHz,
}: Pick<CarryPlan, 'rmsDb' | 'maxDb' | 'maxAtHz' | 'fromHz' | 'toHz'>): string =>
  `${dB(rmsDb)} RMS, max ${dB(maxDb)} at ${formatFrequency(Number(maxAtHz.toPrecision(3)))}, from ${formatFrequency(Math.round(fromHz))} to ${formatFrequency(Math.round(toHz))}`
