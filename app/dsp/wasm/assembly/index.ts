// Everything that the program calls of the kernels.

import { multiplySplit, writeExcess } from './drive-curve.ts'
import { addFreedOfDc } from './drive-output.ts'
import { decimateByTwo, doubleRate, halveRate } from './half-band.ts'

export { addFreedOfDc, decimateByTwo, doubleRate, halveRate, multiplySplit, writeExcess }

/** Where the static tables end and free memory begins, in bytes. */
export function freeFrom(): usize {
  return __heap_base
}
