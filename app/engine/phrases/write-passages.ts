// Measures the likeness of both sides of each join, and writes passages of a file as a new file of the same rate and depth.

import type { AudioFormat, AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import type { WaveEncoding } from '../../audio/sample-encoding.ts'
import { createWaveWriter } from '../../audio/wave/wave-writer.ts'
import { Failure } from '../../contract/failure.ts'
import {
  likenessOf,
  type Passage,
  type ReadFrames,
  renderPassages,
} from '../../dsp/phrases/timing/passages.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'

const readFrom =
  (audio: AudioSource): ReadFrames =>
  (startFrame, frames, into, at) =>
    audio.read(startFrame, frames, into, at)

const blockOf = ({ channels }: AudioFormat, frames: number): Float64Array[] =>
  Array.from({ length: channels }, () => new Float64Array(frames))

/** The passages with the likeness of their joins, over all channels. */
export function withLikeness(audio: AudioSource, passages: readonly Passage[]): Passage[] {
  return passages.map((passage, k) => {
    if (k === 0) return passage
    const { fadeFrames, placeFrame, sourceFrame } = passage
    const before = passages[k - 1]
    const first = placeFrame - fadeFrames / 2
    const sides = [before.sourceFrame + first - before.placeFrame, sourceFrame + first - placeFrame].map(
      (from) => {
        const block = blockOf(audio.format, fadeFrames)
        audio.read(from, fadeFrames, block)
        return Float64Array.from(block.flatMap((channel) => [...channel]))
      },
    )
    return { ...passage, likenessPermille: likenessOf(sides[0], sides[1]) }
  })
}

/** @throws Failure 'not-supported' for words that are not written */
export function writableEncoding(name: string, { encoding }: AudioFormat): WaveEncoding {
  if (encoding !== 'pcm-32' && encoding !== 'float-64') return encoding
  throw new Failure(
    'not-supported',
    `${name} has ${encoding === 'pcm-32' ? '32-bit whole-number' : '64-bit float'} samples, which are read but not written; export it as 24-bit or 32-bit float.`,
    { path: name, encoding },
  )
}

/**
 * Writes passages that cover as many frames as the file has. Words are not dithered: all but those in fades are the
 * file's own.
 * @param beforeFinish called when everything is written but not yet under its name; throws to refuse
 */
export async function writePassages(
  audio: AudioSource,
  passages: readonly Passage[],
  to: string,
  encoding: WaveEncoding,
  onProgress: OnProgress,
  beforeFinish: () => void,
): Promise<void> {
  const { format } = audio
  const { sampleRateHz, channels, frames, timeReferenceSamples } = format
  const block = blockOf(format, BLOCK_FRAMES)
  const spare = blockOf(format, BLOCK_FRAMES)
  const read = readFrom(audio)
  const writer = createWaveWriter(to, {
    sampleRateHz,
    channels,
    encoding,
    ditherSeed: null,
    ...(timeReferenceSamples === null ? {} : { broadcast: { ...NO_INFO, timeReferenceSamples } }),
  })
  try {
    for (let at = 0; at < frames; at += BLOCK_FRAMES) {
      const count = Math.min(BLOCK_FRAMES, frames - at)
      renderPassages(passages, read, at, count, block, spare)
      writer.write(block, count)
      await onProgress((at + count) / frames)
    }
    beforeFinish()
    writer.finish()
  } catch (error) {
    writer.abort()
    throw error
  }
}

/** The result begins where its file does, so it keeps the file's time stamp. */
const NO_INFO = {
  description: '',
  originator: '',
  originatorReference: '',
  originationDate: '',
  originationTime: '',
  codingHistory: '',
}
