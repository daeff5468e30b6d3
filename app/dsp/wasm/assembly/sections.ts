// Second-order sections (svf.ts), two at a time in the halves of a vector: two channels, or
// two bands of a detector, through one section each; or one channel through two sections,
// the second a few samples behind the first. Every half computes as runSvf does, so the
// samples are the same to the last bit.
//
// A pair's coefficients are seven vectors (p11, p21, p22, q2, y0, y1, y2), its state two
// (c1, c2). Two pairs run in one loop: the recursions do not wait for one another.

/** Samples by which each section of one channel follows the one before: its results are stored by then. */
const BEHIND = 2
const PAIR_COEFFICIENTS = 112
const PAIR_STATE = 32

/**
 * Two channels through the sections of `pairs` vectors, in place.
 * @param samples both channels' samples in turn
 */
export function runSectionsOfTwo(
  samples: usize,
  frames: i32,
  coefficients: usize,
  state: usize,
  pairs: i32,
): void {
  let at = coefficients
  let held = state
  for (; pairs > 1; pairs -= 2) {
    runTwoPairs(samples, frames, at, held)
    at += 2 * PAIR_COEFFICIENTS
    held += 2 * PAIR_STATE
  }
  if (pairs === 1) runPair(samples, frames, at, held)
}

function runPair(samples: usize, frames: i32, coefficients: usize, state: usize): void {
  const p11 = v128.load(coefficients)
  const p21 = v128.load(coefficients, 16)
  const p22 = v128.load(coefficients, 32)
  const q2 = v128.load(coefficients, 48)
  const y0 = v128.load(coefficients, 64)
  const y1 = v128.load(coefficients, 80)
  const y2 = v128.load(coefficients, 96)
  let c1 = v128.load(state)
  let c2 = v128.load(state, 16)
  const end = samples + (frames << 4)
  for (let at = samples; at < end; at += 16) {
    const x = v128.load(at)
    v128.store(at, f64x2.add(f64x2.mul(y0, x), f64x2.add(f64x2.mul(y1, c1), f64x2.mul(y2, c2))))
    const next = f64x2.add(f64x2.mul(p11, c1), f64x2.mul(p21, f64x2.sub(x, c2)))
    c2 = f64x2.add(f64x2.mul(p21, c1), f64x2.add(f64x2.mul(p22, c2), f64x2.mul(q2, x)))
    c1 = next
  }
  v128.store(state, c1)
  v128.store(state, c2, 16)
}

function runTwoPairs(samples: usize, frames: i32, coefficients: usize, state: usize): void {
  const p11 = v128.load(coefficients)
  const p21 = v128.load(coefficients, 16)
  const p22 = v128.load(coefficients, 32)
  const q2 = v128.load(coefficients, 48)
  const y0 = v128.load(coefficients, 64)
  const y1 = v128.load(coefficients, 80)
  const y2 = v128.load(coefficients, 96)
  const r11 = v128.load(coefficients, 112)
  const r21 = v128.load(coefficients, 128)
  const r22 = v128.load(coefficients, 144)
  const s2 = v128.load(coefficients, 160)
  const z0 = v128.load(coefficients, 176)
  const z1 = v128.load(coefficients, 192)
  const z2 = v128.load(coefficients, 208)
  let c1 = v128.load(state)
  let c2 = v128.load(state, 16)
  let d1 = v128.load(state, 32)
  let d2 = v128.load(state, 48)
  const end = samples + (frames << 4)
  for (let at = samples; at < end; at += 16) {
    const x = v128.load(at)
    const y = f64x2.add(f64x2.mul(y0, x), f64x2.add(f64x2.mul(y1, c1), f64x2.mul(y2, c2)))
    const next = f64x2.add(f64x2.mul(p11, c1), f64x2.mul(p21, f64x2.sub(x, c2)))
    c2 = f64x2.add(f64x2.mul(p21, c1), f64x2.add(f64x2.mul(p22, c2), f64x2.mul(q2, x)))
    c1 = next
    v128.store(at, f64x2.add(f64x2.mul(z0, y), f64x2.add(f64x2.mul(z1, d1), f64x2.mul(z2, d2))))
    const last = f64x2.add(f64x2.mul(r11, d1), f64x2.mul(r21, f64x2.sub(y, d2)))
    d2 = f64x2.add(f64x2.mul(r21, d1), f64x2.add(f64x2.mul(r22, d2), f64x2.mul(s2, y)))
    d1 = last
  }
  v128.store(state, c1)
  v128.store(state, c2, 16)
  v128.store(state, d1, 32)
  v128.store(state, d2, 48)
}

/**
 * One channel through sections in a row, in place; the sections lie in pairs, first half
 * before second half, and an odd last one alone in its first half.
 */
export function runSectionsOfOne(
  samples: usize,
  frames: i32,
  coefficients: usize,
  state: usize,
  sections: i32,
): void {
  let at = coefficients
  let held = state
  for (; sections > 3; sections -= 4) {
    if (frames > 3 * BEHIND) runFour(samples, frames, at, held)
    else {
      for (let k = 0; k < 2; k++) {
        const pair = at + k * PAIR_COEFFICIENTS
        runHalf(samples, 0, frames, pair, held + k * PAIR_STATE)
        runHalf(samples, 0, frames, pair + 8, held + k * PAIR_STATE + 8)
      }
    }
    at += 2 * PAIR_COEFFICIENTS
    held += 2 * PAIR_STATE
  }
  if (sections > 1) {
    if (frames > BEHIND) runInRow(samples, frames, at, held)
    else {
      runHalf(samples, 0, frames, at, held)
      runHalf(samples, 0, frames, at + 8, held + 8)
    }
    at += PAIR_COEFFICIENTS
    held += PAIR_STATE
    sections -= 2
  }
  if (sections === 1) runHalf(samples, 0, frames, at, held)
}

/** One channel through one half of a pair. */
function runHalf(samples: usize, from: i32, to: i32, coefficients: usize, state: usize): void {
  const p11 = load<f64>(coefficients)
  const p21 = load<f64>(coefficients, 16)
  const p22 = load<f64>(coefficients, 32)
  const q2 = load<f64>(coefficients, 48)
  const y0 = load<f64>(coefficients, 64)
  const y1 = load<f64>(coefficients, 80)
  const y2 = load<f64>(coefficients, 96)
  let c1 = load<f64>(state)
  let c2 = load<f64>(state, 16)
  const end = samples + (to << 3)
  for (let at = samples + (from << 3); at < end; at += 8) {
    const x = load<f64>(at)
    store<f64>(at, y0 * x + (y1 * c1 + y2 * c2))
    const next = p11 * c1 + p21 * (x - c2)
    c2 = p21 * c1 + (p22 * c2 + q2 * x)
    c1 = next
  }
  store<f64>(state, c1)
  store<f64>(state, c2, 16)
}

/** One channel through both halves of a pair, the second BEHIND samples later. */
function runInRow(samples: usize, frames: i32, coefficients: usize, state: usize): void {
  runHalf(samples, 0, BEHIND, coefficients, state)
  const p11 = v128.load(coefficients)
  const p21 = v128.load(coefficients, 16)
  const p22 = v128.load(coefficients, 32)
  const q2 = v128.load(coefficients, 48)
  const y0 = v128.load(coefficients, 64)
  const y1 = v128.load(coefficients, 80)
  const y2 = v128.load(coefficients, 96)
  let c1 = v128.load(state)
  let c2 = v128.load(state, 16)
  const end = samples + ((frames - BEHIND) << 3)
  for (let at = samples; at < end; at += 8) {
    const x = v128.load64_lane(at, v128.load64_zero(at, BEHIND * 8), 1)
    const y = f64x2.add(f64x2.mul(y0, x), f64x2.add(f64x2.mul(y1, c1), f64x2.mul(y2, c2)))
    v128.store64_lane(at, y, 0, BEHIND * 8)
    v128.store64_lane(at, y, 1)
    const next = f64x2.add(f64x2.mul(p11, c1), f64x2.mul(p21, f64x2.sub(x, c2)))
    c2 = f64x2.add(f64x2.mul(p21, c1), f64x2.add(f64x2.mul(p22, c2), f64x2.mul(q2, x)))
    c1 = next
  }
  v128.store(state, c1)
  v128.store(state, c2, 16)
  runHalf(samples, frames - BEHIND, frames, coefficients + 8, state + 8)
}

/** One channel through both halves of two pairs, each half BEHIND samples after the one before. */
function runFour(samples: usize, frames: i32, coefficients: usize, state: usize): void {
  runHalf(samples, 0, 3 * BEHIND, coefficients, state)
  runHalf(samples, 0, 2 * BEHIND, coefficients + 8, state + 8)
  runHalf(samples, 0, BEHIND, coefficients + PAIR_COEFFICIENTS, state + PAIR_STATE)
  const p11 = v128.load(coefficients)
  const p21 = v128.load(coefficients, 16)
  const p22 = v128.load(coefficients, 32)
  const q2 = v128.load(coefficients, 48)
  const y0 = v128.load(coefficients, 64)
  const y1 = v128.load(coefficients, 80)
  const y2 = v128.load(coefficients, 96)
  const r11 = v128.load(coefficients, 112)
  const r21 = v128.load(coefficients, 128)
  const r22 = v128.load(coefficients, 144)
  const s2 = v128.load(coefficients, 160)
  const z0 = v128.load(coefficients, 176)
  const z1 = v128.load(coefficients, 192)
  const z2 = v128.load(coefficients, 208)
  let c1 = v128.load(state)
  let c2 = v128.load(state, 16)
  let d1 = v128.load(state, 32)
  let d2 = v128.load(state, 48)
  const end = samples + ((frames - 3 * BEHIND) << 3)
  for (let at = samples; at < end; at += 8) {
    const x = v128.load64_lane(at, v128.load64_zero(at, 3 * BEHIND * 8), 1, 2 * BEHIND * 8)
    const u = v128.load64_lane(at, v128.load64_zero(at, BEHIND * 8), 1)
    const y = f64x2.add(f64x2.mul(y0, x), f64x2.add(f64x2.mul(y1, c1), f64x2.mul(y2, c2)))
    v128.store64_lane(at, y, 0, 3 * BEHIND * 8)
    v128.store64_lane(at, y, 1, 2 * BEHIND * 8)
    const v = f64x2.add(f64x2.mul(z0, u), f64x2.add(f64x2.mul(z1, d1), f64x2.mul(z2, d2)))
    v128.store64_lane(at, v, 0, BEHIND * 8)
    v128.store64_lane(at, v, 1)
    const next = f64x2.add(f64x2.mul(p11, c1), f64x2.mul(p21, f64x2.sub(x, c2)))
    c2 = f64x2.add(f64x2.mul(p21, c1), f64x2.add(f64x2.mul(p22, c2), f64x2.mul(q2, x)))
    c1 = next
    const last = f64x2.add(f64x2.mul(r11, d1), f64x2.mul(r21, f64x2.sub(u, d2)))
    d2 = f64x2.add(f64x2.mul(r21, d1), f64x2.add(f64x2.mul(r22, d2), f64x2.mul(s2, u)))
    d1 = last
  }
  v128.store(state, c1)
  v128.store(state, c2, 16)
  v128.store(state, d1, 32)
  v128.store(state, d2, 48)
  runHalf(samples, frames - BEHIND, frames, coefficients + 8, state + 8)
  runHalf(samples, frames - 2 * BEHIND, frames, coefficients + PAIR_COEFFICIENTS, state + PAIR_STATE)
  runHalf(samples, frames - 3 * BEHIND, frames, coefficients + PAIR_COEFFICIENTS + 8, state + PAIR_STATE + 8)
}
