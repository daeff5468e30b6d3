// Reads a curve from a file.

import { MAX_CURVE_BYTES } from '../../contract/text/limits.ts'
import { readText, type SmallFileKind } from '../text-file.ts'
import { type ReadCurve, readCurveText } from './curve-text.ts'

const CURVE_FILE: SmallFileKind = {
  name: 'curve',
  wanted: 'a text of frequencies and levels',
  mostBytes: MAX_CURVE_BYTES,
}

/** @throws Failure as readText and readCurveText */
export const readCurveFile = (path: string): ReadCurve => readCurveText(readText(path, CURVE_FILE), path)
