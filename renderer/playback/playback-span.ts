// Fetches one span of a playback from the host, as planar samples.

import { Failure } from '../../app/contract/failure.ts'
import { FailureData } from '../../app/contract/wire/failure-data.ts'
import { PLAYBACK_CHANNELS, playbackRoute } from '../../app/contract/wire/sound-routes.ts'
import { fetchFromHost } from '../state/host-fetch.ts'

/**
 * @returns PLAYBACK_CHANNELS times `frames` samples, channel after channel
 * @throws Failure as reported by the host, or `damaged` if the response has the wrong length
 */
export async function fetchPlaybackSpan(
  playbackId: string,
  fromFrame: number,
  frames: number,
  signal: AbortSignal,
): Promise<Float32Array> {
  const response = await fetchFromHost(playbackRoute(playbackId, fromFrame, frames), { signal })
  if (!response.ok) {
    const failure = FailureData.safeParse(await response.json().catch(() => null))
    if (failure.success) throw Failure.fromData(failure.data)
    throw new Failure(
      'not-readable',
      `Playback stopped: the program answered with ${response.status} ${response.statusText}. Press play again.`,
    )
  }
  const bytes = await response.arrayBuffer()
  if (bytes.byteLength !== PLAYBACK_CHANNELS.length * frames * 4) {
    throw new Failure(
      'damaged',
      'Playback stopped: the program sent a span of the wrong length. Press play again.',
    )
  }
  // Both sides are little-endian.
  return new Float32Array(bytes)
}
