// The last step before the output: limits every sample to -1 dBFS. A stereo-linked peak limiter
// with instant attack: a sample above the ceiling immediately sets the gain that brings it down to
// the ceiling, and the gain recovers slowly. Bit-transparent while it is not limiting.

/** -1 dBFS, rounded down to stay below it as a 32-bit float. */
const GUARD_CEILING = 0.89125
/** Time constant of the recovery. Common practice. */
const RECOVERY_SECONDS = 0.08
/** A frame with a sample at or above this (+60 dBFS), or with NaN, is defective and is silenced. */
const DAMAGE = 1000

export interface CeilingGuard {
  /** Limits one block in place. */
  process(left: Float32Array, right: Float32Array): void
}

/** The gain carries over from block to block. */
export function createCeilingGuard(sampleRateHz: number): CeilingGuard {
  const keep = Math.exp(-1 / (RECOVERY_SECONDS * sampleRateHz))
  // Stored as 1 minus the gain, so that no limiting is exactly 0.
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
          // Clamped, because rounding can leave a sample slightly above the ceiling.
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
