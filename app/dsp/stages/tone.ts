// Tone: the engineer's own bells and shelves.

import { designBands } from '../filters/matched.ts'
import type { Stage, StageLayout } from '../stage.ts'
import { createSectionStage } from './section-stage.ts'
import type { ToneSettings } from './settings.ts'

/** Takes any number of bands; those at 0 dB cost nothing and leave the samples bit-identical. */
export function createTone(settings: ToneSettings, layout: StageLayout): Stage {
  return createSectionStage(designBands(settings.bands, layout.sampleRateHz), layout)
}
