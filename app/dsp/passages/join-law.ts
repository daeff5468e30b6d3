// The law by which one sound fades into another: constant power for any correlation of the two.
// Source: derived, as in Fink, Holters and Zölzer, "Signal-matched power-complementary cross-fading and dry-wet
// mixing", DAFx-16 (the idea; not read again).

/** How much of the fade is done at its n-th frame: a raised cosine, 0 to 1, alike seen from both ends. */
export const riseAt = (n: number, frames: number): number =>
  0.5 - 0.5 * Math.cos((Math.PI * (n + 0.5)) / frames)

/**
 * Gain of the sound that comes in, where `rise` of the fade is done; of the one that goes out with 1 - rise. Two sounds of
 * equal power p and of this correlation have the power p throughout: correlation 0 gives equal power, 1 equal gain.
 * @param rise 0 to 1
 * @param correlation of both over the fade, 0 to 1
 */
export const gainAtRise = (rise: number, correlation: number): number =>
  rise / Math.sqrt(1 - 2 * (1 - correlation) * rise * (1 - rise))
