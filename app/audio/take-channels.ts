// Which numbers of channels are taken, by the same rule wherever a file comes in: a take has one or two. Measuring also
// accepts the two layouts of more that BS.1770 weights, because a meter is needed for finished sound as well.

import { Failure } from '../contract/failure.ts'
import type { AudioFormat } from './audio-source.ts'
import { openAudioFile } from './open-audio-file.ts'
import { flacChannelsOf } from './open-take-file.ts'

/** @param name what to call the file. @throws Failure 'not-supported' for more than two channels */
export function refuseManyChannels(name: string, channels: number): void {
  if (channels <= 2) return
  throw new Failure(
    'not-supported',
    `${name} has ${channels} channels, and a take has one or two; export the vocal's channels by themselves.`,
    { channels },
  )
}

/**
 * Masks of the extensible WAVE form for 5.0 and 5.1 with the surrounds at the sides or the back, and 0, which says
 * nothing: the order is then L R C (LFE) Ls Rs. FLAC gives five and six channels that order (RFC 9639, section 9.1.3).
 */
const WEIGHTED_MASKS: Readonly<Record<number, readonly number[]>> = {
  5: [0, 0x37, 0x607],
  6: [0, 0x3f, 0x60f],
}

/**
 * Refuses before measuring what BS.1770 does not weight (loudnessChannelWeights).
 * @throws Failure as refuseManyChannels and openAudioFile
 */
export function refuseUnweightedChannels(path: string): void {
  const flacChannels = flacChannelsOf(path)
  if (flacChannels !== null) {
    if (!(flacChannels in WEIGHTED_MASKS)) refuseManyChannels(path, flacChannels)
    return
  }
  const source = openAudioFile(path)
  source.close()
  if (!isWeighted(source.format)) refuseManyChannels(path, source.format.channels)
}

/** AIFF orders more than two channels in another way. */
const isWeighted = ({ container, channels, channelMask = 0 }: AudioFormat): boolean =>
  !container.startsWith('aif') && (WEIGHTED_MASKS[channels]?.includes(channelMask) ?? false)
