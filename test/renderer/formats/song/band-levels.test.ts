// Third octaves over a stretch of the song: white noise has the share of each band's width (IEC 61260-1), a bell the
// gain of its formula, and a stretch its own sound.

import { expect, it } from 'vitest'
import { ROW_BANDS_HZ } from '../../../../app/contract/song/joint-rows.ts'
import { bandLevelsOver } from '../../../../renderer/formats/song/band-levels.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { songOf, stageOf } from '../../../signals/song-of.ts'

const FS = 48_000
const ROW = 1024
const noise = whiteNoise(400 * ROW, 8, 0.5).map((x, i) => (i < 200 * ROW ? x : x / 10))
const bell = stageOf('tone', { bands: [{ shape: 'bell', frequencyHz: 1000, gainDb: 6, q: 1 }] })
const { song } = songOf([noise], [bell])
const FIRST = [{ fromRow: 0, toRow: 198 }]

it('white noise: 0.25 / 3 of power over 24 kHz, and of it what a band is wide', () => {
  for (const [b, level] of bandLevelsOver(song.joints[0], FIRST).entries()) {
    const middle = 1000 * 10 ** ((b - 11) / 10)
    const width = middle * (10 ** 0.05 - 10 ** -0.05)
    const wanted = 10 * Math.log10((0.25 / 3) * (width / (FS / 2)))
    // Narrow bands have few values in 4 s.
    expect(Math.abs(level! - wanted), `${ROW_BANDS_HZ[b]} Hz`).toBeLessThan(b < 5 ? 1.5 : 0.5)
  }
})

it('after a bell of +6 dB at 1 kHz the band there has 6 dB more, less the band’s width, and 80 Hz has the same', () => {
  const before = bandLevelsOver(song.joints[0], FIRST)
  const after = bandLevelsOver(song.joints[1], FIRST)
  expect(after[11]! - before[11]!).toBeGreaterThan(5.6)
  expect(after[11]! - before[11]!).toBeLessThan(6.1)
  expect(Math.abs(after[0]! - before[0]!)).toBeLessThan(0.2)
})

it('the second half is 20 dB softer, and nothing has no levels', () => {
  const loud = bandLevelsOver(song.joints[0], FIRST)
  const soft = bandLevelsOver(song.joints[0], [{ fromRow: 202, toRow: 400 }])
  expect(Math.abs(loud[15]! - soft[15]! - 20)).toBeLessThan(0.5)
  expect(bandLevelsOver(song.joints[0], [])).toEqual(ROW_BANDS_HZ.map(() => null))
})
