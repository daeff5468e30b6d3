// Offsets of doubles against the truth of generated voices: the syllables' onsets as they were sung.

import { describe, expect, it } from 'vitest'
import { createGlimpseMeter } from '../../../app/dsp/stack/glimpses.ts'
import type { FrameSpan } from '../../../app/dsp/stack/stack-layers.ts'
import { type LayerTiming, offsetsIn, timingsOf } from '../../../app/dsp/stack/timing.ts'
import {
  LEAD_DEVIATIONS,
  LOOSE_DOUBLE_DEVIATIONS,
  TIGHT_DOUBLE_DEVIATIONS,
} from '../../../app/dsp/voice/performance.ts'
import { type RenderedVoice, renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { layersOf, RATE } from './measured-stack.ts'

const sung = (seed: number, deviations: typeof LEAD_DEVIATIONS): RenderedVoice =>
  renderVoice(
    SEVEN_STAIRS_VERSE,
    { singer: RAP_BARITONE, deviations, effortDb: 0, peakDbfs: -7, popLevelDb: -6 },
    { sampleRateHz: RATE, seed },
  )
const SPAN_SECONDS = 2
const lead = sung(7, LEAD_DEVIATIONS)
const spans: FrameSpan[] = Array.from({ length: 7 }, (_, i) => ({
  from: i * SPAN_SECONDS * RATE,
  to: (i + 1) * SPAN_SECONDS * RATE,
}))

function timingOf(layer: Float64Array): LayerTiming | undefined {
  const layers = [Float64Array.from(lead.samples), layer].map((samples, k) => ({ samples, isLead: k === 0 }))
  const offsets: Float64Array[] = []
  const meter = createGlimpseMeter(RATE, layersOf(layers), spans, (one) => {
    offsets.push(offsetsIn(one, [true, false]))
  })
  for (let at = 0; at < 14 * RATE; at += 1000) {
    meter.add(
      layers.map(({ samples }) => samples.subarray(at, at + 1000)),
      1000,
    )
  }
  meter.finish()
  return timingsOf(
    offsets,
    spans.map(({ from, to }) => ({ fromS: from / RATE, toS: to / RATE })),
    2,
  )[0]
}

describe('the offset of a layer to the lead', () => {
  it.each([40, -25, 7])('of the lead itself, %d ms later', (ms) => {
    const late = new Float64Array(lead.samples.length)
    const frames = (ms * RATE) / 1000
    for (let n = 0; n < late.length; n++) late[n] = 0.5 * (lead.samples[n - frames] ?? 0)
    const timing = timingOf(late)!
    expect(Math.abs(timing.medianMs - ms)).toBeLessThan(1.5)
    expect(timing.spreadMs).toBeLessThan(2)
  })

  it.each([
    ['tight', 11, TIGHT_DOUBLE_DEVIATIONS],
    ['loose', 12, LOOSE_DOUBLE_DEVIATIONS],
  ] as const)('of a %s double: the middle of its syllables', (_, seed, deviations) => {
    const double = sung(seed, deviations)
    const timing = timingOf(Float64Array.from(double.samples))!
    const truth = lead.truth.syllables
      .map(
        ({ vowelStartSeconds }, i) =>
          1000 * (double.truth.syllables[i].vowelStartSeconds - vowelStartSeconds),
      )
      .sort((a, b) => a - b)
    expect(Math.abs(timing.medianMs - truth[truth.length >> 1])).toBeLessThan(12)
  })

  it('is not told of other words', () => {
    const turned = Float64Array.from(
      lead.samples,
      (_, n) => lead.samples[(n + 3.7 * RATE) % lead.samples.length],
    )
    expect(timingOf(turned)).toBeUndefined()
  })
})
