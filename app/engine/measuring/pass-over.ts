// Reads the sound of a file once, in spans.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'

const READ_FRAMES = 16 * BLOCK_FRAMES

/**
 * @param onProgress receives the fraction done between spans; throws to stop
 * @param hear receives each span; its arrays are reused
 */
export async function passOver(
  audio: AudioSource,
  onProgress: OnProgress,
  hear: (block: Channels, count: number) => void,
): Promise<void> {
  const { channels, frames } = audio.format
  const block = Array.from({ length: channels }, () => new Float64Array(READ_FRAMES))
  for (let at = 0; at < frames; at += READ_FRAMES) {
    const count = Math.min(READ_FRAMES, frames - at)
    audio.read(at, count, block)
    hear(block, count)
    await onProgress((at + count) / frames)
  }
}
