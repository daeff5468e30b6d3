// How far below its setting the ceiling at the end of a chain is run. Always by two LSBs of 24 bits,
// because dither moves a sample by up to one and a half of them. In a bounce, also by the excess of
// its inter-sample peaks: the ceiling is proven for samples, but between them its moving gain and
// content close to half the sample rate can exceed it slightly. A bounce has time for a second pass:
// it measures its output and, where the excess is too large, renders once more with the ceiling
// lowered by it.

import type { StageSetup } from '../../contract/render-plan.ts'
import { dbFromGain, gainFromDb } from '../../dsp/maths/decibels.ts'
import { createPeakExcessMeter } from '../../dsp/meters/peak-excess.ts'
import type { Channels } from '../../dsp/stage.ts'

/** Excess up to this is tolerated: half of the 0.1 dB that a voice may exceed the ceiling by. */
const TOLERATED_DB = 0.05
/** The excess is rounded up to whole steps, so that the number in a manifest is readable. */
const STEPS_PER_DB = 1000

const TWO_WORDS = 2 * 2 ** -23

/** The chain as it is run: a ceiling at its end is lowered by the trim plus two LSBs. */
export function trimCeiling(stages: readonly StageSetup[], trimDb: number): readonly StageSetup[] {
  const last = stages.at(-1)
  if (last?.kind !== 'ceiling') return stages
  const ceilingDbtp = dbFromGain(gainFromDb(last.settings.ceilingDbtp - trimDb) - TWO_WORDS)
  return [...stages.slice(0, -1), { kind: 'ceiling', settings: { ...last.settings, ceilingDbtp } }]
}

interface CeilingCheck {
  /** @param channels output of the chain */
  add(channels: Channels, frames: number): void
  /** dB to lower the ceiling by; 0 where the excess is tolerated. Call it once, at the end. */
  trimDb(): number
}

/** Measures the peaks of a chain's output; null where the chain does not end in a ceiling. */
export function createCeilingCheck(stages: readonly StageSetup[], channels: number): CeilingCheck | null {
  const last = stages.at(-1)
  if (last?.kind !== 'ceiling') return null
  const ceiling = gainFromDb(last.settings.ceilingDbtp)
  const tolerated = ceiling * gainFromDb(TOLERATED_DB)
  const meter = createPeakExcessMeter(channels, tolerated)
  return {
    add: meter.add,
    trimDb() {
      const peak = meter.finish()
      return peak > tolerated ? Math.ceil(dbFromGain(peak / ceiling) * STEPS_PER_DB) / STEPS_PER_DB : 0
    },
  }
}
