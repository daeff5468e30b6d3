// Tracing a known curve that the test draws with grid, labels, a second curve and JPEG loss.

import { describe, expect, it } from 'vitest'
import { type Curve, octaveGridHz, resampleCurve } from '../../../../../app/dsp/correction/curve.ts'
import type { Pixels } from '../../../../../renderer/places/mics/trace/colour.ts'
import { type FollowedLine, followLine } from '../../../../../renderer/places/mics/trace/follow-line.ts'
import { steadyLine, thinLine } from '../../../../../renderer/places/mics/trace/thin-line.ts'
import { curveOfPlaces, traceAxes } from '../../../../../renderer/places/mics/trace/trace-axes.ts'
import { inventedMicCurve } from '../../../../signals/mic-curves.ts'
import {
  blank,
  coarsen,
  drawCurve,
  drawGrid,
  drawLabel,
  drawLabels,
  PLOT,
  type Rgb,
  xOf,
  yOf,
} from './drawn-plot.ts'

const AXES = traceAxes(
  [
    { x: xOf(20), y: PLOT.bottom, value: 20 },
    { x: xOf(20_000), y: PLOT.bottom, value: 20_000 },
  ],
  [
    { x: PLOT.left, y: yOf(-20), value: -20 },
    { x: PLOT.left, y: yOf(20), value: 20 },
  ],
)
const RED: Rgb = [200, 30, 40]
const BLUE: Rgb = [30, 70, 190]
const BLACK: Rgb = [15, 15, 15]
const GREY: Rgb = [190, 190, 190]

/** The curve at any frequency, from 400 points per octave. */
function reader(curve: Curve): (frequencyHz: number) => number {
  const { levelsDb } = resampleCurve(curve, octaveGridHz(10, 40_000, 400))
  return (frequencyHz) => {
    const at = 400 * Math.log2(frequencyHz / 10)
    const low = Math.floor(at)
    return levelsDb[low] + (at - low) * (levelsDb[low + 1] - levelsDb[low])
  }
}

interface Drawing {
  readonly seed: number
  readonly colour?: Rgb
  readonly other?: Rgb | null
  readonly grid?: Rgb
  readonly thickness?: number
  readonly loss?: number
}

function draw({ seed, colour = RED, other = BLUE, grid = GREY, thickness = 2.6, loss = 1 }: Drawing): Pixels {
  const pixels = blank()
  drawGrid(pixels, grid, BLACK)
  drawLabels(pixels, BLACK)
  if (other !== null) drawCurve(pixels, reader(inventedMicCurve(seed + 100)), other, thickness)
  drawCurve(pixels, reader(inventedMicCurve(seed)), colour, thickness)
  // A label across the line.
  drawLabel(pixels, '1k', xOf(400), yOf(reader(inventedMicCurve(seed))(400)) - 5, BLACK)
  return loss === 0 ? pixels : coarsen(pixels, loss)
}

/** Follows from a clear position. Where the line was lost, follows again from beyond, as a user would. */
function followAll(pixels: Pixels, seed: number): { line: FollowedLine; clicks: number } {
  const line = followLine(pixels, startOn(seed))
  const own = reader(inventedMicCurve(seed))
  const places = [...line.places]
  let clicks = 1
  const further = (x: number): void => {
    if (x < xOf(30) || x > xOf(18_000)) return
    clicks++
    places.push(...followLine(pixels, { x, y: yOf(own(AXES.frequencyHzAt(x))) }).places)
  }
  if (line.isLostLeft) further(line.places[0].x - 60)
  if (line.isLostRight) further(line.places.at(-1)!.x + 60)
  const sorted = places.sort((a, b) => a.x - b.x).filter(({ x }, i, all) => i === 0 || x > all[i - 1].x)
  return { line: { ...line, places: sorted }, clicks }
}

/** RMS error over the traced part of 30 Hz to 19 kHz, and the share that was traced. */
function errorOf(line: FollowedLine, seed: number) {
  const points = thinLine(steadyLine(line.places), 0.4)
  const traced = curveOfPlaces(points, AXES)
  const grid = octaveGridHz(30, 19_000, 24)
  const inside = grid.filter((f) => f >= traced.frequenciesHz[0] && f <= traced.frequenciesHz.at(-1)!)
  const got = resampleCurve(traced, inside).levelsDb
  const wanted = inside.map(reader(inventedMicCurve(seed)))
  const squares = got.reduce((sum, levelDb, i) => sum + (levelDb - wanted[i]) ** 2, 0)
  return {
    rmsDb: Math.sqrt(squares / inside.length),
    share: inside.length / grid.length,
    points: points.length,
  }
}

/** A click on the line, slightly off its centre and away from the other curve. */
function startOn(seed: number) {
  const own = reader(inventedMicCurve(seed))
  const other = reader(inventedMicCurve(seed + 100))
  const clearest = octaveGridHz(200, 8000, 3).reduce((best, f) =>
    Math.abs(own(f) - other(f)) > Math.abs(own(best) - other(best)) ? f : best,
  )
  return { x: xOf(clearest) + 0.4, y: yOf(own(clearest)) + 0.8 }
}

describe('a drawn curve is traced completely, within 0.5 dB RMS', () => {
  const seeds = [1, 2, 3, 4, 5, 6]
  it.each([
    ['red among blue, as JPEG', {}],
    ['red among blue, no loss', { loss: 0 }],
    ['red among blue, strong JPEG loss', { loss: 2.2 }],
    ['thin red', { thickness: 1.6 }],
    ['black on a grey grid, red the other', { colour: BLACK, other: RED }],
    [
      'black alone on a dark grid',
      { colour: BLACK, other: null, grid: [120, 120, 120] as Rgb, thickness: 3 },
    ],
    ['green on a blue grid', { colour: [20, 130, 60] as Rgb, other: RED, grid: [170, 190, 230] as Rgb }],
  ])('%s', (name, drawing) => {
    const results = seeds.map((seed) => {
      const { line, clicks } = followAll(draw({ seed, ...drawing }), seed)
      return { ...errorOf(line, seed), clicks }
    })
    const rms = results.map(({ rmsDb }) => rmsDb)
    console.info(
      `trace, ${name}: RMS ${rms.map((value) => value.toFixed(2)).join(' ')} dB, ` +
        `share ${results.map(({ share }) => share.toFixed(2)).join(' ')}, points ${results.map(({ points }) => points).join(' ')}, ` +
        `clicks ${results.map(({ clicks }) => clicks).join(' ')}`,
    )
    expect(Math.max(...rms)).toBeLessThan(0.5)
    expect(Math.min(...results.map(({ share }) => share))).toBeGreaterThan(0.97)
    expect(results.filter(({ clicks }) => clicks > 1).length).toBeLessThanOrEqual(1)
  })
})

describe('following a line', () => {
  it('stops where the line ends and reports the side', () => {
    const pixels = blank()
    drawGrid(pixels, GREY, BLACK)
    drawLabels(pixels, BLACK)
    drawCurve(pixels, () => 0, BLACK, 3, 100, 5000)
    const { places, isLostLeft, isLostRight } = followLine(pixels, { x: xOf(1000), y: yOf(0) })
    expect([isLostLeft, isLostRight]).toEqual([true, true])
    expect(AXES.frequencyHzAt(places[0].x)).toBeGreaterThan(95)
    expect(AXES.frequencyHzAt(places[0].x)).toBeLessThan(105)
    expect(AXES.frequencyHzAt(places.at(-1)!.x)).toBeLessThan(5200)
  })
  it('does not continue into a label of the same colour at the same height', () => {
    const pixels = blank()
    drawLabels(pixels, BLACK)
    drawCurve(pixels, () => 0, BLACK, 2.6)
    const { places } = followLine(pixels, { x: xOf(1000), y: yOf(0) })
    expect(places[0].x).toBeGreaterThan(PLOT.left - 3)
  })
  it('rejects a position without a line', () => {
    const pixels = blank()
    drawCurve(pixels, () => 0, BLACK, 3)
    expect(() => followLine(pixels, { x: xOf(1000), y: yOf(10) })).toThrow('No line found there')
    expect(() => followLine(pixels, { x: -50, y: 9000 })).toThrow('No line found there')
  })
})

describe('axes', () => {
  const mark = (x: number, y: number, value: number) => ({ x, y, value })
  it.each([
    [
      'coinciding frequency marks',
      [mark(10, 0, 20), mark(12, 50, 20_000)],
      [mark(0, 0, 0), mark(0, 90, -20)],
      'too close together',
    ],
    [
      'coinciding level marks',
      [mark(10, 0, 20), mark(900, 0, 20_000)],
      [mark(0, 50, 0), mark(70, 50, -20)],
      'too close together',
    ],
    [
      'one frequency twice',
      [mark(10, 0, 20), mark(900, 0, 20)],
      [mark(0, 0, 0), mark(0, 90, -20)],
      'same frequency',
    ],
    ['one level twice', [mark(10, 0, 20), mark(900, 0, 200)], [mark(0, 0, 0), mark(0, 90, 0)], 'same level'],
    [
      'a frequency of zero',
      [mark(10, 0, 0), mark(900, 0, 200)],
      [mark(0, 0, 0), mark(0, 90, 1)],
      'above 0 Hz',
    ],
    [
      'frequencies that fall',
      [mark(900, 0, 20), mark(10, 0, 200)],
      [mark(0, 0, 0), mark(0, 90, 1)],
      'rise from left to right',
    ],
  ] as const)('reject %s', (_name, frequency, level, sentence) => {
    expect(() => traceAxes([...frequency], [...level])).toThrow(sentence)
  })
  it('are logarithmic over frequency', () => {
    const axes = traceAxes([mark(100, 0, 100), mark(300, 0, 10_000)], [mark(0, 200, -10), mark(0, 0, 10)])
    expect(axes.frequencyHzAt(200)).toBeCloseTo(1000, 9)
    expect(axes.levelDbAt(100)).toBeCloseTo(0, 12)
    expect(axes.xOf(1000)).toBeCloseTo(200, 9)
  })
  it('need at least three points for a curve', () => {
    expect(() =>
      curveOfPlaces(
        [
          { x: 100, y: 0 },
          { x: 200, y: 0 },
        ],
        AXES,
      ),
    ).toThrow('at least three')
  })
})
