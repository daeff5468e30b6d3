// Lanes of stages, their extremes at any zoom, and the places where a stage does more than usual.

import { describe, expect, it } from 'vitest'
import { lanesOf, placesOf } from '../../../../renderer/formats/song/lanes.ts'
import { leastIn, mostIn, pyramidOf } from '../../../../renderer/formats/song/pyramid.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { songOf, stageOf } from '../../../signals/song-of.ts'

const ROW = 1024

describe('the pyramid', () => {
  it.each([1, 3, 4, 5, 63, 64, 1000])('of %i rows has the extremes of every stretch', (count) => {
    const values = Float32Array.from(whiteNoise(count, 9, 1))
    const pyramid = pyramidOf(values, values)
    for (let round = 0; round < 200; round++) {
      const from = (round * 7919) % count
      const to = Math.min(count, from + 1 + ((round * 104_729) % count))
      expect(mostIn(pyramid, from, to)).toBe(Math.max(...values.subarray(from, to)))
      expect(leastIn(pyramid, from, to)).toBe(Math.min(...values.subarray(from, to)))
    }
  })

  it('needs a third more than the rows, and knows nothing outside of them', () => {
    const values = new Float32Array(4096).fill(1)
    const { most } = pyramidOf(values, values)
    expect(most.reduce((sum, level) => sum + level.length, 0) / 4096).toBeLessThan(1.334)
    expect(mostIn(pyramidOf(values, values), 5000, 6000)).toBe(Number.NEGATIVE_INFINITY)
    expect(mostIn(pyramidOf(values, values), -10, 2)).toBe(1)
  })
})

describe('lanes', () => {
  const noise = whiteNoise(400 * ROW, 4, 0.2)
  // 6 dB louder for half a second at rows 100 and 300.
  const isLoud = (row: number): boolean => (row >= 100 && row < 123) || (row >= 300 && row < 323)
  const take = [noise.map((x, i) => x * (isLoud(Math.floor(i / ROW)) ? 2.5 : 1))]

  it('there is one for each stage that acts on level and is on', () => {
    const { song, measurement } = songOf(take, [
      stageOf('low-cut'),
      stageOf('expander', {}, false),
      stageOf('drive', { amountDb: 9 }),
      stageOf('opto', { thresholdDbfs: -30 }),
    ])
    expect(
      lanesOf(song, measurement.stages).map(({ stage, kind, measure }) => [stage, kind, measure]),
    ).toEqual([
      [2, 'drive', 'added'],
      [3, 'opto', 'reduction'],
    ])
  })

  it('a chain without such stages has none', () => {
    const { song, measurement } = songOf(take, [stageOf('trim'), stageOf('low-cut')])
    expect(lanesOf(song, measurement.stages)).toEqual([])
  })

  it('finds the two places where the opto does more than usual, in the order of time', () => {
    const { song, measurement } = songOf(take, [stageOf('opto', { thresholdDbfs: -24, attackMs: 5 })])
    const [lane] = lanesOf(song, measurement.stages)
    const places = placesOf(lane, song)
    expect(places.length).toBe(2)
    for (const [k, row] of [100, 300].entries()) {
      expect(Math.abs(places[k].fromRow - row)).toBeLessThan(4)
      expect(places[k].mostRow).toBeGreaterThanOrEqual(places[k].fromRow)
      expect(places[k].mostRow).toBeLessThan(places[k].toRow)
      expect(places[k].mostDb).toBeGreaterThan(places[k].usualDb + 2)
    }
  })

  it('finds none where a stage always does the same, and none in silence', () => {
    for (const sound of [whiteNoise(200 * ROW, 5, 0.3), new Float64Array(50 * ROW)]) {
      const { song, measurement } = songOf([sound], [stageOf('opto', { thresholdDbfs: -30 })])
      const [lane] = lanesOf(song, measurement.stages)
      expect(placesOf(lane, song).filter(({ fromRow }) => fromRow > 10)).toEqual([])
    }
  })
})
