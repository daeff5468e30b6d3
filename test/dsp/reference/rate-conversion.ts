// The rate converter in plain TypeScript: what createRateConverter, which runs on the kernels,
// is held against.

import {
  convertedFrames,
  designConversion,
  inputSpanOf,
  type RateConverter,
} from '../../../app/dsp/conversion/rate-conversion.ts'

export function createPlainRateConverter(fromHz: number, toHz: number): RateConverter {
  const conversion = designConversion(fromHz, toHz)
  const { phases, step, taps, length, firstInput, firstPhase } = conversion
  const wholeStep = Math.floor(step / phases)
  const phaseStep = step % phases
  return {
    outputFrames: (inputFrames) => convertedFrames(inputFrames, fromHz, toHz),
    inputSpan: (startFrame, frames) => inputSpanOf(conversion, startFrame, frames),
    convert(input, inputStartFrame, output, outputStartFrame, frames) {
      let first = firstInput(outputStartFrame) - inputStartFrame
      let phase = firstPhase(outputStartFrame)
      for (let i = 0; i < frames; i++) {
        const table = phase * length
        output[i] =
          first >= 0 && first + length <= input.length
            ? weightedSum(taps, table, input, first, length)
            : weightedSumAtEdge(taps, table, input, first, length)
        first += wholeStep
        phase -= phaseStep
        if (phase < 0) {
          phase += phases
          first++
        }
      }
    },
  }
}

function weightedSum(
  taps: Float64Array,
  table: number,
  input: Float64Array,
  first: number,
  length: number,
): number {
  // Four sums, since one would wait for each addition to end before the next.
  let a = 0
  let b = 0
  let c = 0
  let d = 0
  for (let i = 0; i < length; i += 4) {
    a += taps[table + i] * input[first + i]
    b += taps[table + i + 1] * input[first + i + 1]
    c += taps[table + i + 2] * input[first + i + 2]
    d += taps[table + i + 3] * input[first + i + 3]
  }
  return a + b + (c + d)
}

/** The same sum in the same order, with silence where the input ends. */
function weightedSumAtEdge(
  taps: Float64Array,
  table: number,
  input: Float64Array,
  first: number,
  length: number,
): number {
  const sums = [0, 0, 0, 0]
  for (let i = 0; i < length; i++) {
    const at = first + i
    if (at >= 0 && at < input.length) sums[i & 3] += taps[table + i] * input[at]
  }
  return sums[0] + sums[1] + (sums[2] + sums[3])
}
