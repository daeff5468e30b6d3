// Everything that the program calls of the kernels.

import { multiplySplit, writeExcess } from './drive-curve.ts'
import { addFreedOfDc } from './drive-output.ts'
import { decimateByTwo, doubleRate, halveRate } from './half-band.ts'
import { runSectionsOfOne, runSectionsOfTwo } from './sections.ts'

export {
  addFreedOfDc,
  decimateByTwo,
  doubleRate,
  halveRate,
  multiplySplit,
  runSectionsOfOne,
  runSectionsOfTwo,
  writeExcess,
}

/** Where the static tables end and free memory begins, in bytes. */
export function freeFrom(): usize {
  return __heap_base
}
