// One file that a lane is written to while it is rendered: all of it or a part, at the plan's rate or another, with
// its levels.

import type { BroadcastInfo } from '../../audio/wave/broadcast.ts'
import { createWaveWriter } from '../../audio/wave/wave-writer.ts'
import type { DeliveryEncoding } from '../../contract/delivery/delivery-request.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'
import { createStemMeter } from '../../dsp/meters/stem-meter.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createFileInside } from '../../files/new-file.ts'
import { createConvertedLane } from './converted-lane.ts'

/** What of a plan the files hold: session frames at the plan's rate, and the rate of the files. */
export interface FileSpan {
  readonly startFrame: number
  readonly frames: number
  readonly sampleRateHz: number
}

/** How one file is written. */
export interface FileOrder {
  readonly path: string
  readonly encoding: DeliveryEncoding
  readonly ditherSeed: number | null
  readonly broadcast: BroadcastInfo
  /** Chunks behind the sound; none if omitted. */
  readonly trailing?: Uint8Array | undefined
}

/** One stem as it was written. */
export interface WrittenStem {
  readonly path: string
  readonly channels: number
  readonly frames: number
  readonly integratedLufs: number | null
  readonly loudnessRangeLu: number | null
  readonly truePeakDbtp: number | null
  readonly samplePeakDbfs: number | null
  /** Samples that clipped in the integer format; if there are any, the file was not kept. */
  readonly clippedSamples: number
}

/** A file that a lane is written to. */
export interface StemOutput {
  readonly isDone: boolean
  /**
   * Adds the lane's next frames. A block does not reach over the start of the span.
   * @param frame session frame of the first one
   */
  add(frame: number, frames: number): void
  /** Completes the file, or removes it where samples clipped. */
  close(): WrittenStem
  abort(): void
}

/**
 * @param lane the lane that holds the frames that `add` speaks of
 * @param planRateHz rate of the lane
 * @param firstFrame session frame that is added first
 */
export function createStemOutput(
  order: FileOrder,
  lane: Channels,
  planRateHz: number,
  firstFrame: number,
  span: FileSpan,
): StemOutput {
  const { path, encoding, ditherSeed, broadcast, trailing } = order
  const layout = { sampleRateHz: span.sampleRateHz, channels: lane.length }
  const total = convertedFrames(span.frames, planRateHz, span.sampleRateHz)
  const writer = createWaveWriter(
    path,
    { ...layout, encoding, ditherSeed, broadcast, ...(trailing === undefined ? {} : { trailing }) },
    createFileInside,
  )
  const meter = createStemMeter(layout)
  const converted =
    span.sampleRateHz === planRateHz
      ? null
      : createConvertedLane(planRateHz, span.sampleRateHz, lane.length, firstFrame - span.startFrame)

  const write = (channels: Channels, frames: number): void => {
    const count = Math.min(frames, total - writer.framesWritten)
    writer.write(channels, count)
    meter.add(channels, count)
  }

  return {
    get isDone() {
      return writer.framesWritten >= total
    },
    add(frame, frames) {
      if (writer.framesWritten >= total) return
      if (converted === null) {
        if (frame >= span.startFrame) write(lane, frames)
        return
      }
      converted.push(lane, frames)
      for (let count = converted.pull(); count > 0; count = converted.pull()) write(converted.out, count)
    },
    close() {
      const facts = meter.facts()
      const clippedSamples = writer.clippedSamples
      if (clippedSamples > 0) writer.abort()
      else writer.finish({ ...facts, maxTruePeakDbtp: facts.truePeakDbtp })
      return {
        path,
        channels: lane.length,
        frames: total,
        integratedLufs: facts.integratedLufs,
        loudnessRangeLu: facts.loudnessRangeLu,
        truePeakDbtp: facts.truePeakDbtp,
        samplePeakDbfs: facts.samplePeakDbfs,
        clippedSamples,
      }
    },
    abort: () => writer.abort(),
  }
}

/** All of a plan, at its own rate. */
export const spanOf = ({ startFrame, frames, sampleRateHz }: RenderPlan): FileSpan => ({
  startFrame,
  frames,
  sampleRateHz,
})

/**
 * Renders block by block until every file has all of its frames.
 * @param firstFrame session frame that is rendered first
 * @param toFrame session frame up to which is rendered in any case, where the sound behind the span is measured
 * @param render renders the next frames of every lane
 * @param onBlock called with the fraction done; throws to stop
 */
export function renderOutputs(
  outputs: readonly StemOutput[],
  firstFrame: number,
  span: FileSpan,
  toFrame: number,
  render: (frames: number) => void,
  onBlock: (fraction: number) => void,
): void {
  const total = Math.max(span.startFrame + span.frames, toFrame) - firstFrame
  for (let frame = firstFrame; frame < toFrame || outputs.some(({ isDone }) => !isDone); ) {
    const frames = nextBlock(frame, span, toFrame)
    render(frames)
    for (const output of outputs) output.add(frame, frames)
    frame += frames
    onBlock(Math.min(1, (frame - firstFrame) / total))
  }
}

/** How many frames the next block has, so that none reaches over the start or the end of the span, or over `toFrame`. */
function nextBlock(frame: number, { startFrame, frames }: FileSpan, toFrame: number): number {
  if (frame < startFrame) return Math.min(BLOCK_FRAMES, startFrame - frame)
  const end = startFrame + frames
  if (frame < end) return Math.min(BLOCK_FRAMES, end - frame)
  // Behind the end, a conversion asks for more until it has given all of its frames.
  return frame < toFrame ? Math.min(BLOCK_FRAMES, toFrame - frame) : BLOCK_FRAMES
}
