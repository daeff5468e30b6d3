// Everything that the program calls of the kernels.

import { clampRow, runCeilingControl, takeOff } from './ceiling.ts'
import {
  designMovingSection,
  followAtRest,
  runDeEssBallistics,
  runMovingSection,
  writeBandPowers,
  writeRatios,
} from './de-ess.ts'
import { writeDbOfPowers, writeGainsOfDb } from './decibels.ts'
import { multiplySplit, writeExcess } from './drive-curve.ts'
import { addFreedOfDc } from './drive-output.ts'
import { followPower, runExpanderBallistics, writeExpansions } from './expander.ts'
import { decimateByTwo, doubleRate, halveRate } from './half-band.ts'
import { raiseToIntervalPeaks } from './interval-peaks.ts'
import {
  placeReaching,
  surveyRow,
  writeGroupBends,
  writeGroupPeaks,
  writeKWeightedEnergies,
} from './metering.ts'
import { runOptoCells, writeOptoPower, writeReducedGains, writeStaticReductions } from './opto.ts'
import { convertRate } from './rate-conversion.ts'
import {
  addScaledRow,
  clearDead,
  interleaveRows,
  multiplyRow,
  raiseRow,
  separateRows,
  sumOfSquares,
} from './rows.ts'
import { runSectionsOfOne, runSectionsOfTwo } from './sections.ts'
import { readWords, writeWords } from './words.ts'

export {
  addFreedOfDc,
  addScaledRow,
  clampRow,
  clearDead,
  convertRate,
  decimateByTwo,
  designMovingSection,
  doubleRate,
  followAtRest,
  followPower,
  halveRate,
  interleaveRows,
  multiplyRow,
  multiplySplit,
  placeReaching,
  raiseRow,
  raiseToIntervalPeaks,
  readWords,
  runCeilingControl,
  runDeEssBallistics,
  runExpanderBallistics,
  runMovingSection,
  runOptoCells,
  runSectionsOfOne,
  runSectionsOfTwo,
  separateRows,
  sumOfSquares,
  surveyRow,
  takeOff,
  writeBandPowers,
  writeDbOfPowers,
  writeExcess,
  writeExpansions,
  writeGainsOfDb,
  writeGroupBends,
  writeGroupPeaks,
  writeKWeightedEnergies,
  writeOptoPower,
  writeRatios,
  writeReducedGains,
  writeStaticReductions,
  writeWords,
}

/** Where the static tables end and free memory begins, in bytes. */
export function freeFrom(): usize {
  return __heap_base
}
