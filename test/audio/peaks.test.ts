// Peaks against least and greatest values found the plain way, and their bytes on disk.

import { describe, expect, it } from 'vitest'
import { createPeakCollector, decodePeaks, encodePeaks } from '../../app/audio/peaks.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'

const random = createRandom(21)
const FRAMES = 10_007
const sound = [0.9, 0.3].map((size) =>
  Float64Array.from({ length: FRAMES }, () => (random.uniform() * 2 - 1) * size),
)

function collect(blockFrames: number, framesPerPeak?: number) {
  const collector = createPeakCollector(2, framesPerPeak)
  for (let at = 0; at < FRAMES; at += blockFrames) {
    const frames = Math.min(blockFrames, FRAMES - at)
    collector.add(
      sound.map((channel) => channel.subarray(at, at + frames)),
      frames,
    )
  }
  return collector.finish()
}

describe('peaks', () => {
  const peaks = collect(1024)

  it('are least and greatest of each 256 frames, rounded outward by less than a 16-bit step', () => {
    expect(peaks).toMatchObject({ framesPerPeak: 256, frames: FRAMES })
    sound.forEach((channel, index) => {
      expect(peaks.channels[index].length).toBe(2 * Math.ceil(FRAMES / 256))
      for (let peak = 0; peak * 256 < FRAMES; peak++) {
        const part = channel.slice(256 * peak, 256 * (peak + 1))
        const [least, greatest] = peaks.channels[index].subarray(2 * peak, 2 * peak + 2)
        expect(least).toBeLessThanOrEqual(Math.min(...part) * 32767)
        expect(least).toBeGreaterThan(Math.min(...part) * 32767 - 1)
        expect(greatest).toBeGreaterThanOrEqual(Math.max(...part) * 32767)
        expect(greatest).toBeLessThan(Math.max(...part) * 32767 + 1)
      }
    })
  })

  it.each([1, 255, 256, 257, FRAMES])('do not depend on blocks of %d frames', (blockFrames) => {
    expect(collect(blockFrames)).toEqual(peaks)
  })

  it('hold at full scale and pass over what is no number', () => {
    const collector = createPeakCollector(1, 2)
    collector.add([Float64Array.of(3, 2, -4, 9, Number.NaN, 0.5, Number.NaN, Number.NaN)], 8)
    expect([...collector.finish().channels[0]]).toEqual([32767, 32767, -32767, 32767, 16383, 16384, 0, 0])
  })

  it('come back from their bytes, also at an odd address', () => {
    const bytes = encodePeaks(peaks)
    expect(bytes.length).toBe(20 + 2 * 2 * 2 * Math.ceil(FRAMES / 256))
    const moved = new Uint8Array(bytes.length + 1)
    moved.set(bytes, 1)
    expect(decodePeaks(moved.subarray(1))).toEqual(peaks)
  })

  it('of nothing come back too', () => {
    const nothing = createPeakCollector(1).finish()
    expect(decodePeaks(encodePeaks(nothing))).toEqual(nothing)
  })

  it.each([
    ['too few bytes', (bytes: Uint8Array) => bytes.subarray(0, 10), 'damaged'],
    ['cut short', (bytes: Uint8Array) => bytes.subarray(0, bytes.length - 1), 'damaged'],
    [
      'another magic',
      (bytes: Uint8Array) => Uint8Array.from(bytes, (byte, i) => (i === 0 ? 65 : byte)),
      'damaged',
    ],
    [
      'no frames per peak',
      (bytes: Uint8Array) => Uint8Array.from(bytes, (byte, i) => (i >= 8 && i < 12 ? 0 : byte)),
      'damaged',
    ],
    [
      'a later version',
      (bytes: Uint8Array) => Uint8Array.from(bytes, (byte, i) => (i === 4 ? 2 : byte)),
      'newer-version',
    ],
  ])('%s: %s', (_what, spoil, code) => {
    expect(() => decodePeaks(spoil(encodePeaks(peaks)))).toThrow(expect.objectContaining({ code }))
  })
})
