// The peak of every interval between two samples, as far as it lies above a limit. As
// app/dsp/meters/interval-peaks.ts: groups of samples that provably stay below the limit are not
// interpolated, and within a group neither are intervals that do.

/** Half the taps of a phase, and the frames of a group. */
const GROUP_FRAMES = 24
const GROUP: usize = 8 * GROUP_FRAMES
/** Bytes of the taps of one phase. */
const PHASE: usize = 2 * GROUP

/** Greatest magnitude from one place up to another, a whole number of vectors on. */
export function greatestMagnitude(from: usize, to: usize): f64 {
  let most = f64x2.splat(0)
  for (let at = from; at < to; at += 16) most = f64x2.pmax(most, f64x2.abs(v128.load(at)))
  return greaterHalf(most)
}

/** Greatest second difference, likewise; reads a sample further both ways. */
export function greatestBend(from: usize, to: usize): f64 {
  let most = f64x2.splat(0)
  for (let at = from; at < to; at += 16) {
    const x = v128.load(at)
    const around = f64x2.add(v128.load(at - 8), v128.load(at, 8))
    most = f64x2.pmax(most, f64x2.abs(f64x2.sub(around, f64x2.add(x, x))))
  }
  return greaterHalf(most)
}

function greaterHalf(values: v128): f64 {
  return max(f64x2.extract_lane(values, 0), f64x2.extract_lane(values, 1))
}

/**
 * Greatest magnitude of a sample and the points between it and the next, summed in the
 * order of app/dsp/meters/true-peak-interpolator.ts.
 * @param first the first sample under the taps
 * @param taps of an even number of phases
 */
function intervalPeak(first: usize, taps: usize, tapsEnd: usize): f64 {
  let peak = abs(load<f64>(first, (GROUP_FRAMES - 1) * 8))
  for (let phase = taps; phase < tapsEnd; phase += 2 * PHASE) {
    let a = f64x2.splat(0)
    let b = a
    let c = a
    let d = a
    for (let k: usize = 0; k < PHASE; k += 32) {
      const x = v128.load(first + k)
      const y = v128.load(first + k, 16)
      a = f64x2.add(a, f64x2.mul(v128.load(phase + k), x))
      b = f64x2.add(b, f64x2.mul(v128.load(phase + k, 16), y))
      c = f64x2.add(c, f64x2.mul(v128.load(phase + k, PHASE), x))
      d = f64x2.add(d, f64x2.mul(v128.load(phase + k, PHASE + 16), y))
    }
    const ends = f64x2.add(v128.shuffle<f64>(a, c, 0, 2), v128.shuffle<f64>(a, c, 1, 3))
    const middles = f64x2.add(v128.shuffle<f64>(b, d, 0, 2), v128.shuffle<f64>(b, d, 1, 3))
    const higher = greaterHalf(f64x2.abs(f64x2.add(ends, middles)))
    if (higher > peak) peak = higher
  }
  return peak
}

/**
 * Raises peaks[i] to the peak from sample i - GROUP_FRAMES up to the next one, where that is
 * above the limit.
 * @param sound where the block begins; 50 samples before it count
 * @param taps of an even number of phases, 48 each
 * @param factors as in app/dsp/meters/true-peak-interpolator.ts
 * @returns whether any is
 */
export function raiseToIntervalPeaks(
  sound: usize,
  frames: i32,
  peaks: usize,
  limit: f64,
  taps: usize,
  phases: i32,
  peakFactor: f64,
  nearFactor: f64,
  bendFactor: f64,
): bool {
  const tapsEnd = taps + <usize>phases * PHASE
  let isAny = false
  // Of the group before the one before, and so on; history counts like a block's groups.
  let before = greatestMagnitude(sound - 2 * GROUP, sound - GROUP)
  let last = greatestMagnitude(sound - GROUP, sound)
  for (let from = 0; from < frames; from += GROUP_FRAMES) {
    const at = sound + (from << 3)
    const here = greatestMagnitude(at, at + GROUP)
    const near = max(last, here)
    const wide = max(before, near)
    before = last
    last = here
    if (wide * peakFactor <= limit) continue
    const bend = greatestBend(at - 2 * GROUP, at + GROUP)
    // An interval with a sample above this may pass the limit.
    const candidate = (limit - bend * bendFactor) / nearFactor
    if (near <= candidate) continue
    const to = min(from + GROUP_FRAMES, frames)
    for (let i = from; i < to; i++) {
      const n = sound + ((i - GROUP_FRAMES) << 3)
      if (abs(load<f64>(n)) <= candidate && abs(load<f64>(n, 8)) <= candidate) continue
      const peak = intervalPeak(n - (GROUP - 8), taps, tapsEnd)
      if (peak > limit) {
        isAny = true
        if (peak > load<f64>(peaks + (i << 3))) store<f64>(peaks + (i << 3), peak)
      }
    }
  }
  return isAny
}
