// Doubling and halving the rate, four results at a time: two vectors of two neighbours.
// Sums run in the order of app/dsp/filters/half-band.ts, so the results are the same to the last
// bit. Sound to be halved lies split: samples of even place in one row, of odd place in
// the other, so that the neighbours that a vector wants lie side by side.
//
// Counts are rounded up to whole vectors: up to three results past the end are written,
// made of whatever lies behind the block, and never read.

/** As doubleRate of app/dsp/filters/half-band.ts; `source` and `destination` are where the block begins. */
export function doubleRate(taps: usize, count: i32, source: usize, destination: usize, samples: i32): void {
  const end = taps + (count << 3)
  const span = (2 * count - 1) << 3
  const centre = (count - 1) << 3
  const two = f64x2.splat(2)
  for (let n = 0; n < samples; n += 4) {
    let newer = source + (n << 3)
    let older = newer - span
    const late = newer - centre
    let first0 = f64x2.splat(0)
    let first1 = first0
    let second0 = first0
    let second1 = first0
    for (let tap = taps; tap < end; tap += 16) {
      const even = v128.load64_splat(tap)
      const odd = v128.load64_splat(tap, 8)
      first0 = f64x2.add(first0, f64x2.mul(even, f64x2.add(v128.load(newer), v128.load(older))))
      first1 = f64x2.add(first1, f64x2.mul(even, f64x2.add(v128.load(newer, 16), v128.load(older, 16))))
      newer -= 8
      second0 = f64x2.add(second0, f64x2.mul(odd, f64x2.add(v128.load(newer), v128.load(older, 8))))
      second1 = f64x2.add(second1, f64x2.mul(odd, f64x2.add(v128.load(newer, 16), v128.load(older, 24))))
      newer -= 8
      older += 16
    }
    const sum0 = f64x2.mul(two, f64x2.add(first0, second0))
    const sum1 = f64x2.mul(two, f64x2.add(first1, second1))
    const late0 = v128.load(late)
    const late1 = v128.load(late, 16)
    const to = destination + (n << 4)
    v128.store(to, v128.shuffle<f64>(sum0, late0, 0, 2))
    v128.store(to, v128.shuffle<f64>(sum0, late0, 1, 3), 16)
    v128.store(to, v128.shuffle<f64>(sum1, late1, 0, 2), 32)
    v128.store(to, v128.shuffle<f64>(sum1, late1, 1, 3), 48)
  }
}

/**
 * As halveRate of app/dsp/filters/half-band.ts, from split sound to split sound.
 * @param even where the newest samples of the taps begin
 * @param odd where the samples between them begin
 */
export function halveRate(
  taps: usize,
  count: i32,
  even: usize,
  odd: usize,
  toEven: usize,
  toOdd: usize,
  samples: i32,
): void {
  const end = taps + (count << 3)
  const span = (2 * count - 1) << 3
  const half = f64x2.splat(0.5)
  const middle = count << 3
  for (let n = 0; n < samples; n += 4) {
    let newer = even + (n << 3)
    let older = newer - span
    const centre = odd + (n << 3) - middle
    let first0 = f64x2.mul(half, v128.load(centre))
    let first1 = f64x2.mul(half, v128.load(centre, 16))
    let second0 = f64x2.splat(0)
    let second1 = second0
    for (let tap = taps; tap < end; tap += 16) {
      const evenTap = v128.load64_splat(tap)
      const oddTap = v128.load64_splat(tap, 8)
      first0 = f64x2.add(first0, f64x2.mul(evenTap, f64x2.add(v128.load(newer), v128.load(older))))
      first1 = f64x2.add(first1, f64x2.mul(evenTap, f64x2.add(v128.load(newer, 16), v128.load(older, 16))))
      newer -= 8
      second0 = f64x2.add(second0, f64x2.mul(oddTap, f64x2.add(v128.load(newer), v128.load(older, 8))))
      second1 = f64x2.add(second1, f64x2.mul(oddTap, f64x2.add(v128.load(newer, 16), v128.load(older, 24))))
      newer -= 8
      older += 16
    }
    storeSplit(f64x2.add(first0, second0), f64x2.add(first1, second1), toEven + (n << 2), toOdd + (n << 2))
  }
}

/** Four neighbours to their rows. */
export function storeSplit(first: v128, second: v128, toEven: usize, toOdd: usize): void {
  v128.store(toEven, v128.shuffle<f64>(first, second, 0, 2))
  v128.store(toOdd, v128.shuffle<f64>(first, second, 1, 3))
}

/**
 * As decimateByTwo of app/dsp/filters/half-band.ts, from split sound, eight results at a time.
 * @param middle taps before the middle one, a multiple of 2
 */
export function decimateByTwo(
  taps: usize,
  middle: i32,
  even: usize,
  odd: usize,
  destination: usize,
  samples: i32,
): void {
  const end = taps + (middle << 3)
  const centreTap = v128.load64_splat(end)
  for (let n = 0; n < samples; n += 8) {
    let newerEven = even + (n << 3)
    let olderEven = newerEven - (middle << 3)
    let newerOdd = odd + (n << 3) - 8
    let olderOdd = newerOdd + 8 - (middle << 3)
    const centre = newerEven - (middle << 2)
    let even0 = f64x2.mul(centreTap, v128.load(centre))
    let even1 = f64x2.mul(centreTap, v128.load(centre, 16))
    let even2 = f64x2.mul(centreTap, v128.load(centre, 32))
    let even3 = f64x2.mul(centreTap, v128.load(centre, 48))
    let odd0 = f64x2.splat(0)
    let odd1 = odd0
    let odd2 = odd0
    let odd3 = odd0
    for (let tap = taps; tap < end; tap += 16) {
      const evenTap = v128.load64_splat(tap)
      const oddTap = v128.load64_splat(tap, 8)
      even0 = f64x2.add(even0, f64x2.mul(evenTap, f64x2.add(v128.load(newerEven), v128.load(olderEven))))
      even1 = f64x2.add(
        even1,
        f64x2.mul(evenTap, f64x2.add(v128.load(newerEven, 16), v128.load(olderEven, 16))),
      )
      even2 = f64x2.add(
        even2,
        f64x2.mul(evenTap, f64x2.add(v128.load(newerEven, 32), v128.load(olderEven, 32))),
      )
      even3 = f64x2.add(
        even3,
        f64x2.mul(evenTap, f64x2.add(v128.load(newerEven, 48), v128.load(olderEven, 48))),
      )
      odd0 = f64x2.add(odd0, f64x2.mul(oddTap, f64x2.add(v128.load(newerOdd), v128.load(olderOdd))))
      odd1 = f64x2.add(odd1, f64x2.mul(oddTap, f64x2.add(v128.load(newerOdd, 16), v128.load(olderOdd, 16))))
      odd2 = f64x2.add(odd2, f64x2.mul(oddTap, f64x2.add(v128.load(newerOdd, 32), v128.load(olderOdd, 32))))
      odd3 = f64x2.add(odd3, f64x2.mul(oddTap, f64x2.add(v128.load(newerOdd, 48), v128.load(olderOdd, 48))))
      newerEven -= 8
      olderEven += 8
      newerOdd -= 8
      olderOdd += 8
    }
    const to = destination + (n << 3)
    v128.store(to, f64x2.add(even0, odd0))
    v128.store(to, f64x2.add(even1, odd1), 16)
    v128.store(to, f64x2.add(even2, odd2), 32)
    v128.store(to, f64x2.add(even3, odd3), 48)
  }
}
