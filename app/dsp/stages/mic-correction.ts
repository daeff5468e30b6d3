// Mic-correction: the fitted bands that correct the microphone of the take. They are minimum
// phase like the capsule, so they correct its phase too and add no pre-ringing.

import { designBands } from '../filters/matched.ts'
import type { Stage, StageLayout } from '../stage.ts'
import { createSectionStage } from './section-stage.ts'
import type { MicCorrectionSettings } from './settings.ts'

/** The stage of one mic's fitted bands (correction.ts); without bands it changes nothing, bit for bit. */
export function createMicCorrection(settings: MicCorrectionSettings, layout: StageLayout): Stage {
  return createSectionStage(designBands(settings.bands, layout.sampleRateHz), layout)
}
