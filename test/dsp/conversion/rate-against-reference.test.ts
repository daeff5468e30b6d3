import { expect, it } from 'vitest'
import { createRateConverter } from '../../../app/dsp/conversion/rate-conversion.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { createPlainRateConverter } from '../reference/rate-conversion.ts'

it.each([
  [44_100, 48_000],
  [48_000, 44_100],
  [96_000, 48_000],
  [48_000, 96_000],
  [48_000, 48_000],
  [8000, 192_000],
  [192_000, 8000],
  [11_025, 192_000],
  [192_000, 11_025],
])(
  '%d to %d Hz: every sample equals the reference, converted whole, in a span and past the ends',
  (fromHz, toHz) => {
    const input = whiteNoise(6000, 1, 0.5)
    const plain = createPlainRateConverter(fromHz, toHz)
    const fast = createRateConverter(fromHz, toHz)
    const frames = plain.outputFrames(input.length)
    const wanted = new Float64Array(frames + 300)
    plain.convert(input, 0, wanted, -150, frames + 300)
    const whole = new Float64Array(frames + 300)
    fast.convert(input, 0, whole, -150, frames + 300)
    expect(whole).toEqual(wanted)

    // A span must need no input beyond what inputSpan returns.
    const start = Math.floor(frames / 3)
    const span = fast.inputSpan(start, 100)
    expect(span).toEqual(plain.inputSpan(start, 100))
    const heard = Float64Array.from({ length: span.frames }, (_, i) => input[span.startFrame + i] ?? 0)
    const part = new Float64Array(100)
    fast.convert(heard, span.startFrame, part, start, 100)
    expect(part).toEqual(wanted.slice(start + 150, start + 250))
  },
)
