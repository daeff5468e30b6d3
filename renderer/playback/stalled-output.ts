// Whether an audio output has stopped taking sound without saying so, as some do whose device is gone.

/** So long without progress, */
const STALLED_MS = 2000
/** and so many looks: after the computer has slept, the first look finds an old time. */
const LEAST_LOOKS = 20

/** @returns a function that is asked regularly while it plays: true once the clock of the output has stood still */
export function createStallWatch(): (contextTime: number, nowMs: number) => boolean {
  let last = Number.NaN
  let sinceMs = 0
  let looks = 0
  return (contextTime, nowMs) => {
    if (contextTime !== last) {
      last = contextTime
      sinceMs = nowMs
      looks = 0
    }
    looks++
    return looks > LEAST_LOOKS && nowMs - sinceMs > STALLED_MS
  }
}
