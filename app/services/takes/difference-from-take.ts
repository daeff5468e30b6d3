// Says how a recording differs from a take, from its header alone.

import { readFlacHeader } from '../../audio/flac/flac-header.ts'
import { openInputFile } from '../../audio/input-file.ts'
import { openAudioFile } from '../../audio/open-audio-file.ts'
import { isFlac } from '../../audio/open-take-file.ts'
import type { Take } from '../../contract/entities.ts'

interface Header {
  readonly sampleRateHz: number
  readonly channels: number
  /** Null where the encoder did not know it. */
  readonly frames: number | null
}

/**
 * @returns a clause such as 'it is at 44.1 kHz, and the take at 48 kHz'; null if the headers do not differ
 * @throws Failure as openAudioFile
 */
export function differenceFrom(
  take: Pick<Take, 'sampleRateHz' | 'channels' | 'frames'>,
  path: string,
): string | null {
  const { sampleRateHz, channels, frames } = headerOf(path)
  if (sampleRateHz !== take.sampleRateHz) {
    return `it is at ${sampleRateHz / 1000} kHz, and the take at ${take.sampleRateHz / 1000} kHz`
  }
  if (channels !== take.channels) {
    return `it is ${channelWord(channels)}, and the take ${channelWord(take.channels)}`
  }
  // A FLAC file that is cut short has fewer frames than its header promises.
  if (frames === null || frames === take.frames || isFlac(path)) return null
  const seconds = (count: number): string => (count / sampleRateHz).toFixed(3)
  return `it is ${seconds(frames)} s long, and the take ${seconds(take.frames)} s`
}

function headerOf(path: string): Header {
  if (!isFlac(path)) {
    const source = openAudioFile(path)
    source.close()
    return source.format
  }
  const file = openInputFile(path)
  try {
    return readFlacHeader(file)
  } finally {
    file.close()
  }
}

const channelWord = (channels: number): string =>
  channels === 1 ? 'mono' : channels === 2 ? 'stereo' : `in ${channels} channels`
