// How far under its setting a ceiling is set that ends a chain. Always by two words of 24
// bits, because dither moves a sample by up to one and a half of them. And in a bounce by
// what its peaks between samples pass it: the ceiling is proven for samples, and between
// them its moving gain and what lies close to half the sample rate leave a little over. A
// bounce has the time to look again: it measures what came out, and where that is too
// much, renders once more with the ceiling lowered by the excess.

import type { StageSetup } from '../../contract/render-plan.ts'
import { dbFromGain, gainFromDb } from '../../dsp/maths/decibels.ts'
import { createPeakExcessMeter } from '../../dsp/meters/peak-excess.ts'
import type { Channels } from '../../dsp/stage.ts'

/** Excess up to this is tolerated: half of the figure for a voice. */
const TOLERATED_DB = 0.05
/** The excess is rounded up to whole steps, so that a manifest holds a number one can read. */
const STEPS_PER_DB = 1000

const TWO_WORDS = 2 * 2 ** -23

/** The chain as it is run: its ceiling, where it ends in one, lowered by so many dB and two words. */
export function trimCeiling(stages: readonly StageSetup[], trimDb: number): readonly StageSetup[] {
  const last = stages.at(-1)
  if (last?.kind !== 'ceiling') return stages
  const ceilingDbtp = dbFromGain(gainFromDb(last.settings.ceilingDbtp - trimDb) - TWO_WORDS)
  return [...stages.slice(0, -1), { kind: 'ceiling', settings: { ...last.settings, ceilingDbtp } }]
}

interface CeilingCheck {
  /** @param channels what leaves the chain */
  add(channels: Channels, frames: number): void
  /** By how many dB the ceiling is to be lowered; 0 where it is well kept. To be asked once, at the end. */
  trimDb(): number
}

/** Listens to what leaves a chain; null where the chain does not end in a ceiling. */
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
