// How long the output takes from the sample that is mixed next to the one that is heard now.

/** What is asked of an audio context. */
export type OutputClock = Pick<AudioContext, 'currentTime' | 'baseLatency' | 'outputLatency'> & {
  getOutputTimestamp?(): { contextTime?: number; performanceTime?: number }
}

/** A clock that claims more has stopped. */
const MOST_SECONDS = 2

/**
 * Seconds. The stamp names a sample and when it left the output, and is carried on to now; where a browser gives none,
 * base plus output latency as it reports them (Web Audio API 1.1, getOutputTimestamp and outputLatency).
 * @param nowMs as performance.now()
 */
export function heardLatencySeconds(clock: OutputClock, nowMs: number): number {
  const { contextTime = 0, performanceTime = 0 } = clock.getOutputTimestamp?.() ?? {}
  if (contextTime > 0 && performanceTime > 0) {
    const late = clock.currentTime - (contextTime + (nowMs - performanceTime) / 1000)
    if (late <= MOST_SECONDS) return Math.max(0, late)
  }
  return clock.baseLatency + (clock.outputLatency || 0)
}
