// Describes in words how a stack sums to mono.

import type { StackMeasurement } from '../../../app/contract/stack-measurement.ts'
import { formatFrequency, formatNumber, withUnit } from '../../../app/words/format.ts'

/** Uncorrelated channels lose 3 dB in mono; a loss beyond this value indicates cancellation. */
const CANCELLED_UNDER_DB = -4.5
/** Bands with a smaller share of the power are ignored. */
const MIN_SHARE_PERCENT = 1

export function monoSentences({ lossDb, bands }: StackMeasurement['mono']): readonly string[] {
  if (lossDb === null) return ['The stack is silent.']
  const cancelled = bands
    .filter((band) => band.lossDb < CANCELLED_UNDER_DB && band.sharePercent >= MIN_SHARE_PERCENT)
    .sort((a, b) => a.lossDb - b.lossDb)
  const all =
    lossDb < CANCELLED_UNDER_DB
      ? [
          `In mono the stack loses ${decibels(-lossDb)}, more than the 3 dB of sides that have nothing to do with each other: something cancels. Look for a layer with its polarity turned, or a copy a few milliseconds late.`,
        ]
      : []
  const each = cancelled.map(
    (band) =>
      `Around ${formatFrequency(band.nominalHz)} mono loses ${decibels(-band.lossDb)}, where ${withUnit(formatNumber(band.sharePercent, 0), '%')} of the power lies.`,
  )
  return all.length + each.length === 0
    ? [
        `The stack survives mono: it loses ${decibels(Math.max(0, -lossDb))} in all, and no third octave cancels.`,
      ]
    : [...all, ...each]
}

const decibels = (value: number): string => withUnit(formatNumber(value, 1), 'dB')
