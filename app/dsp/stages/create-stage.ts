// Creates a running stage from any setup; the only place that lists every kind.

import type { Stage, StageLayout } from '../stage.ts'
import { createCeiling } from './ceiling.ts'
import { createDeEss } from './de-ess.ts'
import { createDrive } from './drive.ts'
import { createExpander } from './expander.ts'
import { createLowCut } from './low-cut.ts'
import { createMicCorrection } from './mic-correction.ts'
import { createOpto } from './opto.ts'
import type { StageSetup } from './settings.ts'
import { createTone } from './tone.ts'
import { createTrim } from './trim.ts'

/**
 * A running stage of any kind, in its initial state.
 * @param trace of BLOCK_FRAMES; expander, de-ess, opto and ceiling write the reduction of each frame that comes out to
 * it, in dB, block by block; the others leave it alone
 */
export function createStage(
  setup: StageSetup,
  layout: StageLayout,
  trace: Float64Array | null = null,
): Stage {
  switch (setup.kind) {
    case 'trim':
      return createTrim(setup.settings, layout)
    case 'expander':
      return createExpander(setup.settings, layout, trace)
    case 'mic-correction':
      return createMicCorrection(setup.settings, layout)
    case 'low-cut':
      return createLowCut(setup.settings, layout)
    case 'tone':
      return createTone(setup.settings, layout)
    case 'de-ess':
      return createDeEss(setup.settings, layout, trace)
    case 'drive':
      return createDrive(setup.settings, layout)
    case 'opto':
      return createOpto(setup.settings, layout, trace)
    case 'ceiling':
      return createCeiling(setup.settings, layout, trace)
  }
}
