// The de-esser: how sibilant the leader is, how much of it is taken, and a section whose
// gain moves with every sample. Each step as in test/dsp/reference;
// the detector's two bands run in the two halves of a vector.

import { dbFromTwoPowers, gainFromTwoDb } from './decibels.ts'

/**
 * Three sections of both bands, and the followers of their powers.
 * @param bands the sound for both bands in turn; overwritten by their powers
 * @param coefficients three pairs', then as vectors what the followers keep upward and downward
 * @param state c1 and c2 of three pairs, then both powers
 * @param floor power that is always there: keeps the rest normal
 */
export function writeBandPowers(
  bands: usize,
  frames: i32,
  coefficients: usize,
  state: usize,
  floor: f64,
): void {
  const ap11 = v128.load(coefficients, 0)
  const ap21 = v128.load(coefficients, 16)
  const ap22 = v128.load(coefficients, 32)
  const aq2 = v128.load(coefficients, 48)
  const ay0 = v128.load(coefficients, 64)
  const ay1 = v128.load(coefficients, 80)
  const ay2 = v128.load(coefficients, 96)
  const bp11 = v128.load(coefficients, 112)
  const bp21 = v128.load(coefficients, 128)
  const bp22 = v128.load(coefficients, 144)
  const bq2 = v128.load(coefficients, 160)
  const by0 = v128.load(coefficients, 176)
  const by1 = v128.load(coefficients, 192)
  const by2 = v128.load(coefficients, 208)
  const cp11 = v128.load(coefficients, 224)
  const cp21 = v128.load(coefficients, 240)
  const cp22 = v128.load(coefficients, 256)
  const cq2 = v128.load(coefficients, 272)
  const cy0 = v128.load(coefficients, 288)
  const cy1 = v128.load(coefficients, 304)
  const cy2 = v128.load(coefficients, 320)
  const rise = v128.load(coefficients, 336)
  const fall = v128.load(coefficients, 352)
  const one = f64x2.splat(1)
  const riseTake = f64x2.sub(one, rise)
  const fallTake = f64x2.sub(one, fall)
  const floors = f64x2.splat(floor)
  let a1 = v128.load(state)
  let a2 = v128.load(state, 16)
  let b1 = v128.load(state, 32)
  let b2 = v128.load(state, 48)
  let c1 = v128.load(state, 64)
  let c2 = v128.load(state, 80)
  let power = v128.load(state, 96)
  const end = bands + (frames << 4)
  for (let at = bands; at < end; at += 16) {
    const x = v128.load(at)
    const y = f64x2.add(f64x2.mul(ay0, x), f64x2.add(f64x2.mul(ay1, a1), f64x2.mul(ay2, a2)))
    const nextA = f64x2.add(f64x2.mul(ap11, a1), f64x2.mul(ap21, f64x2.sub(x, a2)))
    a2 = f64x2.add(f64x2.mul(ap21, a1), f64x2.add(f64x2.mul(ap22, a2), f64x2.mul(aq2, x)))
    a1 = nextA
    const z = f64x2.add(f64x2.mul(by0, y), f64x2.add(f64x2.mul(by1, b1), f64x2.mul(by2, b2)))
    const nextB = f64x2.add(f64x2.mul(bp11, b1), f64x2.mul(bp21, f64x2.sub(y, b2)))
    b2 = f64x2.add(f64x2.mul(bp21, b1), f64x2.add(f64x2.mul(bp22, b2), f64x2.mul(bq2, y)))
    b1 = nextB
    const band = f64x2.add(f64x2.mul(cy0, z), f64x2.add(f64x2.mul(cy1, c1), f64x2.mul(cy2, c2)))
    const nextC = f64x2.add(f64x2.mul(cp11, c1), f64x2.mul(cp21, f64x2.sub(z, c2)))
    c2 = f64x2.add(f64x2.mul(cp21, c1), f64x2.add(f64x2.mul(cp22, c2), f64x2.mul(cq2, z)))
    c1 = nextC
    const square = f64x2.add(f64x2.mul(band, band), floors)
    const risen = f64x2.add(f64x2.mul(rise, power), f64x2.mul(riseTake, square))
    const fallen = f64x2.add(f64x2.mul(fall, power), f64x2.mul(fallTake, square))
    power = v128.bitselect(risen, fallen, f64x2.gt(square, power))
    v128.store(at, power)
  }
  v128.store(state, a1)
  v128.store(state, a2, 16)
  v128.store(state, b1, 32)
  v128.store(state, b2, 48)
  v128.store(state, c1, 64)
  v128.store(state, c2, 80)
  v128.store(state, power, 96)
}

/** Sibilant power over that of the voice and a floor. @param frames rounded up to a multiple of 2 */
export function writeRatios(powers: usize, ratios: usize, frames: i32, floor: f64): void {
  const floors = f64x2.splat(floor)
  for (let i = 0; i < frames << 3; i += 16) {
    const a = v128.load(powers + (i << 1))
    const b = v128.load(powers + (i << 1), 16)
    const above = v128.shuffle<f64>(a, b, 0, 2)
    const below = v128.shuffle<f64>(a, b, 1, 3)
    v128.store(ratios + i, f64x2.div(above, f64x2.add(below, floors)))
  }
}

/**
 * How hot a channel's sibilance is: its power over that of the voice's hot sibilants so far, 0 where the
 * ratio is not that of a sibilant.
 * @param powers sibilant and voice in turn, as `writeBandPowers` leaves them
 * @param ratios as `writeRatios` leaves them
 * @param state power of the loud voice, of hot sibilants, and of the loud voice when the last of these was heard
 * @param sibilantRatio ratio above which a moment is sibilant
 * @param voiceRise, sibilantRise what voice and sibilants keep upward in one frame
 * @param fall, pauseFall what the voice keeps downward while it is there, and in pauses
 * @param forget what hot sibilants keep in a frame of softer ones
 * @param present share of a remembered power under which a moment is a pause
 * @param least power of hot sibilants, as a share of the voice's
 */
export function writeHotness(
  powers: usize,
  ratios: usize,
  hotness: usize,
  frames: i32,
  state: usize,
  sibilantRatio: f64,
  voiceRise: f64,
  sibilantRise: f64,
  fall: f64,
  pauseFall: f64,
  forget: f64,
  present: f64,
  least: f64,
): void {
  const voiceTake = 1 - voiceRise
  const sibilantTake = 1 - sibilantRise
  let loud = load<f64>(state)
  let hot = load<f64>(state, 8)
  let loudThen = load<f64>(state, 16)
  for (let i = 0; i < frames << 3; i += 8) {
    const sibilant = load<f64>(powers + (i << 1))
    const voice = load<f64>(powers + (i << 1), 8)
    if (voice > loud) loud = voiceRise * loud + voiceTake * voice
    else loud *= voice > present * loud ? fall : pauseFall
    let hotter: f64 = 0
    if (load<f64>(ratios + i) > sibilantRatio) {
      // A voice that has become quieter has softer sibilants.
      let now = loud < loudThen ? hot * (loud / loudThen) : hot
      if (sibilant > now) {
        now = sibilantRise * now + sibilantTake * sibilant
        hot = now
        loudThen = loud
      } else if (sibilant > present * now) hot *= forget
      hotter = sibilant / Math.max(now, least * loud)
    }
    store<f64>(hotness + i, hotter)
  }
  store<f64>(state, loud)
  store<f64>(state, hot, 8)
  store<f64>(state, loudThen, 16)
}

/**
 * Limits the reductions to the range, and takes from them what a soft sibilant is spared, in place.
 * @param graceDb how far below the hot sibilants nothing is spared
 * @param spared dB less for each dB below that
 * @param frames rounded up to a multiple of 2
 */
export function spareSoft(
  askedDb: usize,
  hotness: usize,
  frames: i32,
  rangeDb: f64,
  graceDb: f64,
  spared: f64,
): void {
  const zero = f64x2.splat(0)
  const ranges = f64x2.splat(rangeDb)
  const graces = f64x2.splat(graceDb)
  const shares = f64x2.splat(spared)
  const leasts = f64x2.splat(1e-30)
  for (let i = 0; i < frames << 3; i += 16) {
    const asked = v128.load(askedDb + i)
    if (!v128.any_true(f64x2.gt(asked, zero))) continue
    const db = dbFromTwoPowers(f64x2.max(v128.load(hotness + i), leasts))
    const soft = f64x2.max(zero, f64x2.neg(f64x2.add(db, graces)))
    const left = f64x2.sub(f64x2.min(asked, ranges), f64x2.mul(shares, soft))
    v128.store(askedDb + i, f64x2.max(zero, left))
  }
}

/**
 * Target reductions in dB to reductions with attack, hold and linear release, in place.
 * @param state reduction in dB, and frames of hold that remain; behind them it writes the
 *   first frame with reduction, and the one after the last
 * @returns the greatest
 */
export function runDeEssBallistics(
  askedDb: usize,
  frames: i32,
  state: usize,
  rangeDb: f64,
  attack: f64,
  holdFrames: f64,
  releaseDb: f64,
  untouchedDb: f64,
): f64 {
  const take = 1 - attack
  let reduction = load<f64>(state)
  let hold = load<f64>(state, 8)
  let greatest: f64 = 0
  let first = -1
  let past = 0
  for (let i = 0; i < frames << 3; i += 8) {
    let asked = load<f64>(askedDb + i)
    if (asked > rangeDb) asked = rangeDb
    if (asked >= reduction) {
      reduction = attack * reduction + take * asked
      hold = holdFrames
    } else if (hold > 0) {
      hold -= 1
    } else {
      reduction -= releaseDb
      if (reduction < asked) reduction = asked
    }
    const taken = reduction > untouchedDb ? reduction - untouchedDb : 0
    store<f64>(askedDb + i, taken)
    if (taken > 0) {
      if (taken > greatest) greatest = taken
      if (first < 0) first = i >> 3
      past = (i >> 3) + 1
    }
  }
  store<f64>(state, reduction)
  store<f64>(state, hold, 8)
  store<f64>(state, first, 16)
  store<f64>(state, past, 24)
  return greatest
}

/** Bytes from one row of a moving section's coefficients to the next: a block of 1024 and some. */
const ROW: usize = 8 * 1032

/**
 * The state-space step of the section at each frame: rows of p11, p21, p22, q2, y0, y1, y2.
 * @param g tan(pi f / fs) of the section at 0 dB
 * @param isBell a bell, or else a high shelf
 * @param frames rounded up to a multiple of 2
 */
export function designMovingSection(
  reductionsDb: usize,
  frames: i32,
  rows: usize,
  g: f64,
  damping: f64,
  isBell: bool,
): void {
  const one = f64x2.splat(1)
  const two = f64x2.splat(2)
  const atRest = f64x2.splat(g)
  const dampings = f64x2.splat(damping)
  const halfDown = f64x2.splat(-0.5)
  for (let i = 0; i < frames << 3; i += 16) {
    // The square root of the gain, as in the cookbook's shapes.
    const a = inline.always(gainFromTwoDb(f64x2.mul(halfDown, v128.load(reductionsDb + i))))
    const square = f64x2.mul(a, a)
    let pole = atRest
    let k = dampings
    let m0 = one
    let m1: v128
    let m2 = f64x2.splat(0)
    if (isBell) {
      k = f64x2.div(k, a)
      m1 = f64x2.mul(k, f64x2.sub(square, one))
    } else {
      pole = f64x2.mul(pole, f64x2.sqrt(a))
      m0 = square
      m1 = f64x2.mul(f64x2.mul(k, f64x2.sub(one, a)), a)
      m2 = f64x2.sub(one, square)
    }
    const a1 = f64x2.div(one, f64x2.add(one, f64x2.mul(pole, f64x2.add(pole, k))))
    const a2 = f64x2.mul(pole, a1)
    const a3 = f64x2.mul(pole, a2)
    const to = rows + i
    v128.store(to, f64x2.sub(f64x2.mul(two, a1), one))
    v128.store(to + ROW, f64x2.mul(two, a2))
    v128.store(to + 2 * ROW, f64x2.sub(one, f64x2.mul(two, a3)))
    v128.store(to + 3 * ROW, f64x2.mul(two, a3))
    v128.store(to + 4 * ROW, f64x2.add(f64x2.add(m0, f64x2.mul(m1, a2)), f64x2.mul(m2, a3)))
    v128.store(to + 5 * ROW, f64x2.add(f64x2.mul(m1, a1), f64x2.mul(m2, a2)))
    v128.store(to + 6 * ROW, f64x2.sub(f64x2.mul(m2, f64x2.sub(one, a3)), f64x2.mul(m1, a2)))
  }
}

/** One channel through the moving section, in place; samples without reduction stay as they are. */
export function runMovingSection(
  samples: usize,
  frames: i32,
  reductionsDb: usize,
  rows: usize,
  state: usize,
): void {
  let c1 = load<f64>(state)
  let c2 = load<f64>(state, 8)
  for (let i = 0; i < frames << 3; i += 8) {
    const x = load<f64>(samples + i)
    const at = rows + i
    const p21 = load<f64>(at + ROW)
    if (load<f64>(reductionsDb + i) > 0) {
      const y = load<f64>(at + 4 * ROW) * x
      store<f64>(samples + i, y + (load<f64>(at + 5 * ROW) * c1 + load<f64>(at + 6 * ROW) * c2))
    }
    const next = load<f64>(at) * c1 + p21 * (x - c2)
    c2 = p21 * c1 + (load<f64>(at + 2 * ROW) * c2 + load<f64>(at + 3 * ROW) * x)
    c1 = next
  }
  store<f64>(state, c1)
  store<f64>(state, c2, 8)
}

/** Advances the section's state alone, while there is no reduction. @param coefficients p11, p21, p22, q2 at rest */
export function advanceAtRest(samples: usize, frames: i32, coefficients: usize, state: usize): void {
  const p11 = load<f64>(coefficients)
  const p21 = load<f64>(coefficients, 8)
  const p22 = load<f64>(coefficients, 16)
  const q2 = load<f64>(coefficients, 24)
  let c1 = load<f64>(state)
  let c2 = load<f64>(state, 8)
  for (let i = 0; i < frames << 3; i += 8) {
    const x = load<f64>(samples + i)
    const next = p11 * c1 + p21 * (x - c2)
    c2 = p21 * c1 + (p22 * c2 + q2 * x)
    c1 = next
  }
  store<f64>(state, c1)
  store<f64>(state, c2, 8)
}
