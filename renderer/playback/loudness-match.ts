// Asks for the gains that make dry and processed equally loud: a quick answer from where
// the ear is first, the whole range after it. While a control moves the last answer
// is held; it is asked for again once the control has come to rest.

import type { MatchGains } from '../../app/contract/playback.ts'
import type { FrameRange } from '../formats/frame-range.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'

const REST_MS = 300
const QUICK_SECONDS = 8

export interface MatchRequest {
  readonly playbackId: string
  /** What will be heard: the loop, or all there is. */
  readonly range: FrameRange
  /** Where the ear is, inside the range. */
  readonly atFrame: number
}

export interface LoudnessMatch {
  /** Asks now, or once nothing has changed for a while. */
  ask(request: () => MatchRequest, when: 'now' | 'at rest'): void
  cancel(): void
}

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
        { playbackId, fromFrame: atFrame, toFrame: range.toFrame, secondsAtMost: QUICK_SECONDS },
        { signal },
      )
      // Nothing active from here on says nothing about loudness; the whole range may.
      if (!signal.aborted && quick.differenceLu !== null) onGains(quick)
      const all = await client.matchPlayback({ playbackId, ...range, secondsAtMost: whole }, { signal })
      if (!signal.aborted) onGains(all)
    } catch (error) {
      if (!signal.aborted) reportFailure('Dry and processed could not be matched', error)
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
