// Low-cut: a Butterworth high-pass that takes the rumble out.

import { designLowCut } from '../filters/matched.ts'
import type { Stage, StageLayout } from '../stage.ts'
import { createSectionStage } from './section-stage.ts'
import type { LowCutSettings } from './settings.ts'

/** The stage of a low-cut of 12 or 24 dB per octave, -3.01 dB at its frequency. */
export function createLowCut(settings: LowCutSettings, layout: StageLayout): Stage {
  return createSectionStage(designLowCut(settings, layout.sampleRateHz), layout)
}
