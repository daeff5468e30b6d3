// The targets of the take check on generated takes with planted faults.

import type { Figure } from '../rows.ts'
import { clickAndPopRows } from './take-check/click-and-pop-rows.ts'
import { clippingRows } from './take-check/clipping-rows.ts'
import { codingRows } from './take-check/coding-rows.ts'
import { compressionRows } from './take-check/compression-rows.ts'
import { copyRows } from './take-check/copy-rows.ts'
import { noiseAndHumRows } from './take-check/noise-and-hum-rows.ts'
import { offsetRows } from './take-check/offset-rows.ts'
import { phraseRows } from './take-check/phrase-rows.ts'
import { polarityRows } from './take-check/polarity-rows.ts'
import { reverberationRows } from './take-check/reverberation-rows.ts'

export function measureTakeCheck(): Figure {
  return {
    id: 'T1',
    title: 'Take check',
    plots: [],
    rows: [
      ...clippingRows(),
      ...offsetRows(),
      ...noiseAndHumRows(),
      ...clickAndPopRows(),
      ...phraseRows(),
      ...polarityRows(),
      ...copyRows(),
      ...compressionRows(),
      ...reverberationRows(),
      ...codingRows(),
    ],
  }
}
