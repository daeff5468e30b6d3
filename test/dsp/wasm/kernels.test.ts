import { describe, expect, it } from 'vitest'
import { createStage } from '../../../app/dsp/stages/create-stage.ts'
import type { StageSetup } from '../../../app/dsp/stages/settings.ts'
import { createKernelInstance, createWorkRows } from '../../../app/dsp/wasm/kernels.ts'

/** The most channels that a file may have (app/audio/pcm-layout.ts). */
const MAX_CHANNELS = 32

describe('the memory of the kernels', () => {
  it.each<StageSetup>([
    {
      kind: 'drive',
      settings: { amountDb: 40, referenceDbfs: -12, evenPercent: 20, mixPercent: 100, outputDb: 0 },
    },
    { kind: 'ceiling', settings: { ceilingDbtp: -1, lookAheadMs: 20, releaseMs: 80 } },
    { kind: 'de-ess', settings: { shape: 'bell', frequencyHz: 6000, thresholdDb: 0, rangeDb: 6 } },
  ])('has room for the $kind with a leader and a follower of 32 channels at 192 kHz', (setup) => {
    const layout = { sampleRateHz: 192_000, laneChannels: [MAX_CHANNELS, MAX_CHANNELS] }
    const stage = createStage(setup, layout)
    const lane = () => Array.from({ length: MAX_CHANNELS }, () => new Float64Array(1024).fill(0.1))
    const lanes = [lane(), lane()]
    stage.process(lanes, 1024)
    expect(lanes.flat().every((samples) => samples.every((x) => Number.isFinite(x)))).toBe(true)
  })

  it('is refused beyond its end', () => {
    const { memory } = createKernelInstance()
    expect(() => createWorkRows().row(memory.length)).toThrow(RangeError)
  })
})
