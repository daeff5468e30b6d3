// Conversion between sample rates by a rational ratio: a linear-phase polyphase
// filter with its delay compensated, so that an event stays at its time. It has no state
// between calls; any span of the output can be computed from the input span that
// `inputSpan` gives, in any order, with the same samples.
// Source: Kaiser's design and the polyphase identity as in Oppenheim and Schafer,
// "Discrete-Time Signal Processing" (from memory; measured in tests).

import { kaiserLowPass, kaiserTaps } from '../filters/kaiser-low-pass.ts'
import { greatestCommonDivisor } from '../maths/greatest-common-divisor.ts'
import { BLOCK_FRAMES } from '../stage.ts'
import { createKernelInstance, createWorkRows, viewOf } from '../wasm/kernels.ts'

interface FrameSpan {
  readonly startFrame: number
  readonly frames: number
}

/** Converts spans of one channel. */
export interface RateConverter {
  /** Frames of the whole output for a whole input, to the nearest. */
  outputFrames(inputFrames: number): number
  /**
   * The input that a span of the output depends on. It reaches past both ends of the
   * recording, where there is silence.
   */
  inputSpan(startFrame: number, frames: number): FrameSpan
  /**
   * Fills output[0] to output[frames - 1] with the output frames from `outputStartFrame`.
   * @param input frames of the source from `inputStartFrame` on; frames outside of it count as silence
   */
  convert(
    input: Float64Array,
    inputStartFrame: number,
    output: Float64Array,
    outputStartFrame: number,
    frames: number,
  ): void
}

const LOWEST_RATE_HZ = 8000
const HIGHEST_RATE_HZ = 192000
/** The most phases or steps of a ratio; 11.025 to 192 kHz needs 2560. Bounds the table. */
const MAX_PHASES = 2560
/** The pass band ends at 20 kHz where the lower rate is 44.1 kHz, and in proportion elsewhere. */
const PASS_SHARE_OF_NYQUIST = 20000 / 22050
/** Design target, 5 dB beyond the specified -120 dB. */
const STOP_BAND_DB = 125

/** Whether a pair of whole-numbered rates has a converter. */
export function isConvertible(fromHz: number, toHz: number): boolean {
  for (const rateHz of [fromHz, toHz]) {
    if (!(Number.isInteger(rateHz) && rateHz >= LOWEST_RATE_HZ && rateHz <= HIGHEST_RATE_HZ)) return false
  }
  return Math.max(fromHz, toHz) / greatestCommonDivisor(fromHz, toHz) <= MAX_PHASES
}

/** The design for a pair of rates; output frame m is at m * step on a grid of `phases` per input frame. */
interface Conversion extends PhaseTable {
  readonly phases: number
  readonly step: number
  /**
   * Input frame of an output frame's first tap, ceil((m * step - reach) / phases). These
   * products stay below 2^53 for any recording.
   */
  firstInput(frame: number): number
  /** How far that tap is past the earliest place it could have: 0 to phases - 1. */
  firstPhase(frame: number): number
}

/** @throws RangeError when the pair is not convertible */
export function designConversion(fromHz: number, toHz: number): Conversion {
  if (!isConvertible(fromHz, toHz)) {
    throw new RangeError(
      `No conversion from ${fromHz} Hz to ${toHz} Hz: rates are whole numbers from ${LOWEST_RATE_HZ} to ` +
        `${HIGHEST_RATE_HZ} Hz whose ratio has no term above ${MAX_PHASES}`,
    )
  }
  const divisor = greatestCommonDivisor(fromHz, toHz)
  const phases = toHz / divisor
  const step = fromHz / divisor
  const table = phaseTable(phases, step)
  const firstInput = (frame: number) => Math.ceil((frame * step - table.reach) / phases)
  return {
    ...table,
    phases,
    step,
    firstInput,
    firstPhase: (frame) => firstInput(frame) * phases - (frame * step - table.reach),
  }
}

/** The input that a span of the output depends on. */
export function inputSpanOf(
  { firstInput, length }: Conversion,
  startFrame: number,
  frames: number,
): FrameSpan {
  const first = firstInput(startFrame)
  return { startFrame: first, frames: firstInput(startFrame + frames - 1) + length - first }
}

/** The kernels for one ratio of rates; their memory keeps its taps. */
interface ConversionKernels {
  readonly conversion: Conversion
  run(
    input: Float64Array,
    inputStartFrame: number,
    output: Float64Array,
    at: number,
    outputFrame: number,
    frames: number,
  ): void
}

/** Cached by ratio of the rates: there are few, and every layer of a session has the same one. */
const known = new Map<string, ConversionKernels>()

function conversionKernels(fromHz: number, toHz: number): ConversionKernels {
  const conversion = designConversion(fromHz, toHz)
  const { phases, step, taps, length } = conversion
  const instance = createKernelInstance()
  const rows = createWorkRows(instance)
  const tapRow = rows.row(taps.length)
  viewOf(tapRow, taps.length, instance).set(taps)
  const mostInput = Math.ceil((BLOCK_FRAMES * step) / phases) + length + 1
  const inputRow = rows.row(mostInput)
  const inputView = viewOf(inputRow, mostInput, instance)
  const outputRow = rows.row(BLOCK_FRAMES)
  const outputView = viewOf(outputRow, BLOCK_FRAMES, instance)
  const wholeStep = Math.floor(step / phases)
  const phaseStep = step % phases
  return {
    conversion,
    run(input, inputStartFrame, output, at, outputFrame, frames) {
      const span = inputSpanOf(conversion, outputFrame, frames)
      const from = span.startFrame - inputStartFrame
      const first = Math.min(Math.max(0, -from), span.frames)
      const past = Math.max(first, Math.min(span.frames, input.length - from))
      inputView.fill(0, 0, first)
      inputView.set(input.subarray(from + first, from + past), first)
      inputView.fill(0, past, span.frames)
      instance.kernels.convertRate(
        inputRow,
        outputRow,
        frames,
        tapRow,
        length,
        phases,
        conversion.firstPhase(outputFrame),
        wholeStep,
        phaseStep,
      )
      output.set(frames === BLOCK_FRAMES ? outputView : outputView.subarray(0, frames), at)
    },
  }
}

/**
 * A converter between two rates: flat within 0.01 dB to 0.907 of half the lower rate,
 * aliases and images at -120 dB or lower. Equal rates copy.
 * @throws RangeError when the pair is not convertible
 */
export function createRateConverter(fromHz: number, toHz: number): RateConverter {
  const ratio = `${fromHz / greatestCommonDivisor(fromHz, toHz)}/${toHz / greatestCommonDivisor(fromHz, toHz)}`
  const kernels = known.get(ratio) ?? conversionKernels(fromHz, toHz)
  known.set(ratio, kernels)
  return {
    outputFrames: (inputFrames) => convertedFrames(inputFrames, fromHz, toHz),
    inputSpan: (startFrame, frames) => inputSpanOf(kernels.conversion, startFrame, frames),
    convert(input, inputStartFrame, output, outputStartFrame, frames) {
      for (let at = 0; at < frames; at += BLOCK_FRAMES) {
        const count = Math.min(BLOCK_FRAMES, frames - at)
        kernels.run(input, inputStartFrame, output, at, outputStartFrame + at, count)
      }
    },
  }
}

interface PhaseTable {
  /** `length` taps for each phase in turn, in the order of the input they weigh. */
  readonly taps: Float64Array
  /** A multiple of 4. */
  readonly length: number
  /** Steps of the fine grid from a filter's middle to its first tap. */
  readonly reach: number
}

function phaseTable(phases: number, step: number): PhaseTable {
  if (phases === 1 && step === 1) return { taps: Float64Array.of(1, 0, 0, 0), length: 4, reach: 0 }
  // In cycles per step of the fine grid, the lower of the two rates is 1 / longest.
  const longest = Math.max(phases, step)
  const stop = 0.5 / longest
  const pass = PASS_SHARE_OF_NYQUIST * stop
  const reach = Math.ceil(kaiserTaps(STOP_BAND_DB, stop - pass) / 2)
  const prototype = kaiserLowPass(2 * reach + 1, (pass + stop) / 2, STOP_BAND_DB)
  const length = 4 * Math.ceil((2 * reach + 1) / phases / 4)
  const taps = new Float64Array(phases * length)
  for (let phase = 0; phase < phases; phase++) {
    let sum = 0
    for (let at = phase; at < prototype.length; at += phases) sum += prototype[at]
    // Every phase has the same gain at 0 Hz, or a constant input would come out with a tone.
    for (let tap = 0, at = phase; at < prototype.length; tap++, at += phases) {
      taps[phase * length + tap] = prototype[at] / sum
    }
  }
  return { taps, length, reach }
}

/** Frames of a whole recording at another rate, to the nearest. */
export function convertedFrames(frames: number, fromHz: number, toHz: number): number {
  return Math.round((frames * toHz) / fromHz)
}
