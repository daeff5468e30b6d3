// A take as the engine reads it: any span of frames at the session's rate, whatever the
// rate of the file. Reading is stateless, so playback can jump and still match a bounce.

import type { AudioSource } from '../../audio/audio-source.ts'
import { createRateConverter } from '../../dsp/conversion/rate-conversion.ts'
import type { Channels } from '../../dsp/stage.ts'

/** A take at the rate of the session, read by position. */
export interface TakeSource {
  readonly channels: number
  /** Length at the session's rate. */
  readonly frames: number
  /** Fills `into` from index 0 with frames from `startFrame`; zeros outside the take. */
  read(startFrame: number, frames: number, into: Channels): void
  close(): void
}

/** Reads `audio` at `sampleRateHz`, converting where its own rate differs. */
export function createTakeSource(audio: AudioSource, sampleRateHz: number): TakeSource {
  const { channels, frames: fileFrames, sampleRateHz: fileRateHz } = audio.format
  if (fileRateHz === sampleRateHz) {
    return {
      channels,
      frames: fileFrames,
      read: (start, frames, into) => audio.read(start, frames, into),
      close: () => audio.close(),
    }
  }
  const converter = createRateConverter(fileRateHz, sampleRateHz)
  let input: Float64Array[] = []
  return {
    channels,
    frames: converter.outputFrames(fileFrames),
    read(startFrame, frames, into) {
      const span = converter.inputSpan(startFrame, frames)
      if (input.length === 0 || input[0].length < span.frames) {
        input = Array.from({ length: channels }, () => new Float64Array(span.frames + 64))
      }
      audio.read(span.startFrame, span.frames, input)
      for (let c = 0; c < channels; c++)
        converter.convert(input[c], span.startFrame, into[c], startFrame, frames)
    },
    close: () => audio.close(),
  }
}
