// Refuses samples of float files that no analysis can take.

import { isMeasurable } from '../../dsp/meters/sample-peak.ts'
import type { Channels } from '../../dsp/stage.ts'
import { unmeasurableFailure } from './meter-facts.ts'

/**
 * @param at frame of the take at the start of the block
 * @throws Failure as an import does for a sample that is not a number or is beyond 32-bit float
 */
export function refuseUnmeasurable(
  block: Channels,
  count: number,
  at: number,
  { name, sampleRateHz }: { readonly name: string; readonly sampleRateHz: number },
): void {
  for (let i = 0; i < count; i++) {
    for (let channel = 0; channel < block.length; channel++) {
      if (!isMeasurable(block[channel][i]))
        throw unmeasurableFailure(name, sampleRateHz, { frame: at + i, channel })
    }
  }
}
