// The last thing before the ears: no sample leaves the window above -1 dBFS, whatever
// was sent. It is a stereo-linked peak limiter with instant attack: a sample that would
// pass the ceiling pulls the gain down to exactly the ceiling at that very sample, and
// the gain then recovers slowly. While nothing passes the ceiling it is bit-transparent.

/** -1 dBFS, rounded down to stay below it as a 32-bit float. */
export const GUARD_CEILING = 0.89125
/** Time constant of the recovery. Common practice. */
const RECOVERY_SECONDS = 0.08
/** Above this (+60 dBFS), as for NaN, a sample is damage and not sound: silence. */
const DAMAGE = 1000

export interface CeilingGuard {
  /** In place. */
  process(left: Float32Array, right: Float32Array): void
}

export function createCeilingGuard(sampleRateHz: number): CeilingGuard {
  const keep = Math.exp(-1 / (RECOVERY_SECONDS * sampleRateHz))
  // How far the gain is below 1; counting from 1 lets "at rest" be an exact 0.
  let missing = 0

  return {
    process(left, right) {
      let below = missing
      for (let i = 0; i < left.length; i++) {
        let l = left[i]
        let r = right[i]
        let peak = Math.max(Math.abs(l), Math.abs(r))
        if (!(peak < DAMAGE)) {
          l = 0
          r = 0
          peak = 0
        }
        below *= keep
        if (peak * (1 - below) > GUARD_CEILING) below = 1 - GUARD_CEILING / peak
        if (below > 0) {
          const gain = 1 - below
          // The clamp takes off what rounding may leave above the ceiling.
          l = Math.min(GUARD_CEILING, Math.max(-GUARD_CEILING, l * gain))
          r = Math.min(GUARD_CEILING, Math.max(-GUARD_CEILING, r * gain))
        }
        left[i] = l
        right[i] = r
      }
      missing = below < 1e-6 ? 0 : below
    },
  }
}
