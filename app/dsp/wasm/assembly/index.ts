// The kernels that the program calls.

import { attenuateRow, clampRow, runCeilingControl } from './ceiling.ts'
import {
  advanceAtRest,
  designMovingSection,
  runDeEssBallistics,
  runMovingSection,
  spareSoft,
  writeBandPowers,
  writeHotness,
  writeRatios,
} from './de-ess.ts'
import { multiplySplit, writeExcess } from './drive-curve.ts'
import { addDcBlocked } from './drive-output.ts'
import { followPower, runExpanderBallistics, writeExpansions } from './expander.ts'
import { countInGranules, countUnderWindows, filterBands, slideBins } from './frame-traces.ts'
import { decimateByTwo, doubleRate, halveRate } from './half-band.ts'
import { raiseToIntervalPeaks } from './interval-peaks.ts'
import {
  indexReaching,
  surveyRow,
  writeGroupBends,
  writeGroupPeaks,
  writeKWeightedEnergies,
} from './metering.ts'
import { runOptoCells, writeGainsOfReductions, writeOptoPower, writeStaticReductions } from './opto.ts'
import { convertRate } from './rate-conversion.ts'
import {
  addScaledRow,
  deinterleaveRows,
  flushDecayed,
  interleaveRows,
  maximumRow,
  multiplyRow,
  sumOfSquares,
} from './rows.ts'
import { runSectionsOfOne, runSectionsOfTwo } from './sections.ts'
import { sumVectors, writeSquares, writeTwoSpectra } from './spectra.ts'
import { readWords, writeWords } from './words.ts'

export {
  addDcBlocked,
  addScaledRow,
  advanceAtRest,
  attenuateRow,
  clampRow,
  convertRate,
  countInGranules,
  countUnderWindows,
  decimateByTwo,
  deinterleaveRows,
  designMovingSection,
  doubleRate,
  filterBands,
  flushDecayed,
  followPower,
  halveRate,
  indexReaching,
  interleaveRows,
  maximumRow,
  multiplyRow,
  multiplySplit,
  raiseToIntervalPeaks,
  readWords,
  runCeilingControl,
  runDeEssBallistics,
  runExpanderBallistics,
  runMovingSection,
  runOptoCells,
  runSectionsOfOne,
  runSectionsOfTwo,
  slideBins,
  spareSoft,
  sumOfSquares,
  sumVectors,
  surveyRow,
  writeBandPowers,
  writeExcess,
  writeExpansions,
  writeGainsOfReductions,
  writeGroupBends,
  writeGroupPeaks,
  writeHotness,
  writeKWeightedEnergies,
  writeOptoPower,
  writeRatios,
  writeSquares,
  writeStaticReductions,
  writeTwoSpectra,
  writeWords,
}

/** Where the static tables end and free memory begins, in bytes. */
export function freeFrom(): usize {
  return __heap_base
}
