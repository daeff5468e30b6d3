// Mending: clicks, pops, clipped peaks, hum and breaths that were planted, against the sound without them.

import type { Figure } from '../rows.ts'
import { breathRows } from './repair/breath-rows.ts'
import { clickRows } from './repair/click-rows.ts'
import { clippedAndPopRows } from './repair/clipped-and-pop-rows.ts'
import { humRows } from './repair/hum-rows.ts'

export async function measureRepairs(): Promise<Figure> {
  return {
    id: 'P17',
    title: 'Mending',
    plots: [],
    rows: [
      ...(await breathRows()),
      ...(await clickRows()),
      ...(await clippedAndPopRows()),
      ...(await humRows()),
    ],
  }
}
