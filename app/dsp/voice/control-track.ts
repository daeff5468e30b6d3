// How a parameter of the voice moves: a series of targets, each reached by a half-cosine glide centred
// on its time. Overlapping glides add up, so targets in quick succession are undershot.

/** Seconds between two values of a track. */
export const CONTROL_SECONDS = 0.001

/** From `atSeconds` on the target is `value`; the glide to it is centred there. */
export interface TrackStep {
  readonly atSeconds: number
  readonly value: number
  readonly glideSeconds: number
}

/** Number of control frames that cover the given seconds, with one beyond the end. */
export function controlFrames(seconds: number): number {
  return Math.ceil(seconds / CONTROL_SECONDS) + 2
}

/** The track at every control frame. Steps are in order of time. */
export function renderTrack(initial: number, steps: readonly TrackStep[], frames: number): Float64Array {
  const track = new Float64Array(frames)
  // Slopes first, summed up at the end, so that the cost of a step is its glide, not the rest of the take.
  let aim = initial
  for (const step of steps) {
    const rise = step.value - aim
    aim = step.value
    if (rise === 0) continue
    const start = step.atSeconds - step.glideSeconds / 2
    const first = Math.max(0, Math.ceil(start / CONTROL_SECONDS))
    const last = Math.min(frames - 1, Math.ceil((start + step.glideSeconds) / CONTROL_SECONDS))
    let reached = 0
    for (let frame = first; frame <= last; frame++) {
      const share = glideShare((frame * CONTROL_SECONDS - start) / step.glideSeconds)
      track[frame] += rise * (share - reached)
      reached = share
    }
  }
  let value = initial
  for (let frame = 0; frame < frames; frame++) {
    value += track[frame]
    track[frame] = value
  }
  return track
}

/** Raised-cosine rise from 0 to 1. */
export function glideShare(x: number): number {
  return x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * x)
}
