import { describe, expect, it } from 'vitest'
import {
  type Curve,
  normaliseCurve,
  octaveGridHz,
  resampleCurve,
  smoothCurve,
  subtractCurves,
} from '../../../app/dsp/correction/curve.ts'

const TRACED: Curve = {
  frequenciesHz: [20, 50, 100, 200, 1000, 3000, 5000, 8000, 12000, 20000],
  levelsDb: [-12, -5, -1, 0.5, 0, 2.5, 4, 4, -1.5, -10],
}

const grid = (levelDb: (frequencyHz: number) => number, fromHz = 20, toHz = 20000): Curve => {
  const frequenciesHz = octaveGridHz(fromHz, toHz, 24)
  return { frequenciesHz, levelsDb: frequenciesHz.map(levelDb) }
}

describe('reading a curve between its points', () => {
  it('agrees with SciPy 1.17.1 PchipInterpolator over ln f (its nine printed decimals)', () => {
    const expected: [number, number][] = [
      [25, -10.113950375],
      [70, -2.769935296],
      [90, -1.3989259],
      [150, 0.159173051],
      [500, 0.198340569],
      [1500, 0.524347942],
      [2000, 1.309416113],
      [4000, 3.534343019],
      [6500, 4.0],
      [9500, 2.498268401],
      [10000, 1.658198589],
      [17000, -7.104424759],
    ]
    const { levelsDb } = resampleCurve(
      TRACED,
      expected.map(([frequencyHz]) => frequencyHz),
    )
    expected.forEach(([, levelDb], i) => {
      expect(Math.abs(levelsDb[i] - levelDb)).toBeLessThan(1e-8)
    })
  })

  it('passes through its points, in any order of asking', () => {
    const shuffled = [8000, 20, 12000, 100, 20000, 50]
    const { levelsDb } = resampleCurve(TRACED, shuffled)
    expect(levelsDb).toEqual([4, -12, -1.5, -1, -10, -5])
  })

  it('keeps the level of its ends outside', () => {
    expect(resampleCurve(TRACED, [5, 19.9, 25000]).levelsDb).toEqual([-12, -12, -10])
  })

  it('is straight through two points', () => {
    const twoPoints = { frequenciesHz: [100, 400], levelsDb: [0, 6] }
    expect(resampleCurve(twoPoints, [200]).levelsDb[0]).toBeCloseTo(3, 12)
  })
})

describe('the grid', () => {
  it('has 240 points of 1/24 octave from 20 Hz, and takes in its end', () => {
    const frequenciesHz = octaveGridHz(20, 20000, 24)
    expect(frequenciesHz).toHaveLength(240)
    expect(frequenciesHz[24]).toBeCloseTo(40, 9)
    expect(octaveGridHz(100, 400, 3)).toHaveLength(7)
  })
})

describe('smoothing by a part of an octave', () => {
  it('keeps a level and a straight slope, up to the ends', () => {
    const slope = grid((f) => 3 * Math.log2(f / 1000))
    const smoothed = smoothCurve(slope, () => 1 / 3)
    smoothed.levelsDb.forEach((levelDb, i) => {
      expect(levelDb).toBeCloseTo(slope.levelsDb[i], 9)
    })
  })

  it('takes a ripple down by sin(x)/x of its window', () => {
    // Mean of a cosine of 2 periods per octave over 1/6 octave: sinc of pi 2 / 6. The
    // points of the grid are joined straight, which costs under 1 %.
    const ripple = grid((f) => Math.cos(2 * Math.PI * 2 * Math.log2(f / 1000)))
    const { frequenciesHz, levelsDb } = smoothCurve(ripple, () => 1 / 6)
    const at = frequenciesHz.findIndex((f) => f > 999)
    const window = Math.sin(Math.PI / 3) / (Math.PI / 3)
    expect(Math.abs(levelsDb[at] - window * ripple.levelsDb[at])).toBeLessThan(0.02)
    expect(levelsDb[0]).toBe(ripple.levelsDb[0])
    expect(levelsDb.at(-1)).toBe(ripple.levelsDb.at(-1))
  })
})

describe('bringing curves to one level', () => {
  it('makes the mean of 300 to 3000 Hz 0 dB', () => {
    const step = normaliseCurve(grid((f) => (f < 250 ? 20 : 7)))
    expect(step.levelsDb.at(-1)).toBeCloseTo(0, 6)
    expect(step.levelsDb[0]).toBeCloseTo(13, 6)
  })

  it('takes all of a curve that hardly reaches that range', () => {
    const { levelsDb } = normaliseCurve(grid(() => 5, 4000, 16000))
    for (const levelDb of levelsDb) expect(levelDb).toBeCloseTo(0, 9)
  })
})

describe('the difference of two curves', () => {
  it('has points only where both have data', () => {
    const above = { frequenciesHz: [50, 1000, 16000], levelsDb: [3, 3, 3] }
    const below = grid(() => 1, 80, 20000)
    const { frequenciesHz, levelsDb } = subtractCurves(above, below)
    expect(frequenciesHz[0]).toBeCloseTo(80, 9)
    expect(frequenciesHz.at(-1)).toBe(16000)
    for (const levelDb of levelsDb) expect(levelDb).toBeCloseTo(2, 12)
  })

  it('has none where they do not meet', () => {
    expect(
      subtractCurves(
        grid(() => 0, 20, 100),
        grid(() => 0, 200, 400),
      ).frequenciesHz,
    ).toEqual([])
  })
})
