// Requests the gains that make dry and processed equally loud: first a quick estimate from the
// playhead on, then a result for the whole range. While a control is moving, the last gains stay in
// effect; the next request is sent once the control has come to rest.

import type { MatchGains } from '../../app/contract/playback.ts'
import type { FrameRange } from '../formats/frame-range.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'

const REST_MS = 300
const QUICK_SECONDS = 8

interface MatchRequest {
  readonly playbackId: string
  /** What is played: the loop, or the whole material. */
  readonly range: FrameRange
  /** The playhead, inside the range. */
  readonly atFrame: number
}

export interface LoudnessMatch {
  /** Requests a match now, or after 300 ms without another request. Cancels the previous request. */
  ask(request: () => MatchRequest, when: 'now' | 'at rest'): void
  /** Cancels the pending request; the gains stay. */
  cancel(): void
}

/**
 * @param onGains called with each answer, in dB
 * @param onBusy called when a request starts and ends
 */
export function createLoudnessMatch(
  onGains: (gains: MatchGains) => void,
  onBusy: (isBusy: boolean) => void,
): LoudnessMatch {
  let timer: number | undefined
  let abort = new AbortController()

  const cancel = (): void => {
    clearTimeout(timer)
    abort.abort()
    abort = new AbortController()
    onBusy(false)
  }

  const run = async (request: () => MatchRequest, signal: AbortSignal): Promise<void> => {
    const { playbackId, range, atFrame } = request()
    const whole = (range.toFrame - range.fromFrame) / 1000 + 1
    try {
      const quick = await client.matchPlayback(
        { playbackId, fromFrame: atFrame, toFrame: range.toFrame, maxSeconds: QUICK_SECONDS },
        { signal },
      )
      // null if there is no active sound after the playhead; the whole range may still have some.
      if (!signal.aborted && quick.differenceLu !== null) onGains(quick)
      const all = await client.matchPlayback({ playbackId, ...range, maxSeconds: whole }, { signal })
      if (!signal.aborted) onGains(all)
    } catch (error) {
      if (!signal.aborted) reportFailure('Loudness could not be matched', error)
    } finally {
      if (!signal.aborted) onBusy(false)
    }
  }

  return {
    ask(request, when) {
      cancel()
      onBusy(true)
      const { signal } = abort
      timer = window.setTimeout(() => void run(request, signal), when === 'now' ? 0 : REST_MS)
    },
    cancel,
  }
}
