// Takes surveyed for their phrases, as the engine does it from a file.

import { createVoiceFrames, type VoiceFrames } from '../../../app/dsp/phrases/voice-frames.ts'
import { feed } from '../tones.ts'

export function framesOf(samples: ArrayLike<number>, sampleRateHz = 48_000, topHz = 8000): VoiceFrames {
  const meter = createVoiceFrames({ sampleRateHz, channels: 1 }, topHz)
  feed(meter.add, [Float64Array.from(samples)], 8192)
  return meter.finish()
}

/** Runs a generator to its end. */
export function finished<R>(steps: Generator<unknown, R>): R {
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
  }
}
