// Mic-correction: the fitted bands that correct the microphone of the take. Of minimum
// phase like the capsule it undoes, so it restores time too and rings before nothing.

import { designBands } from '../filters/matched.ts'
import type { Stage, StageLayout } from '../stage.ts'
import { createSectionStage } from './section-stage.ts'
import type { MicCorrectionSettings } from './settings.ts'

/** The stage of one mic's fitted bands (correction.ts); without bands it changes no bit. */
export function createMicCorrection(settings: MicCorrectionSettings, layout: StageLayout): Stage {
  return createSectionStage(designBands(settings.bands, layout.sampleRateHz), layout)
}
