// The gain of a mono take on its way into the stages after the sum, alone and panned to the centre.

/**
 * 3.01 dB down on each side, so that both sides together carry the take's power. Level-dependent
 * stages respond to that, so a measurement of one take through a chain has to apply it.
 */
const CENTRE_GAIN = Math.SQRT1_2

/** Gain on the way into the stages after the sum. @param channels of the take */
export const sumGainOf = (channels: number): number => (channels === 1 ? CENTRE_GAIN : 1)

/** Scales a block in place. */
export function scaleBlock(block: readonly Float64Array[], gain: number, frames: number): void {
  if (gain === 1) return
  for (const channel of block) for (let i = 0; i < frames; i++) channel[i] *= gain
}
