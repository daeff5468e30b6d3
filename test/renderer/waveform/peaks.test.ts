import { describe, expect, it } from 'vitest'
import { decodePeaks, gainToOwnPeak, slicePeaks } from '../../../renderer/waveform/peaks.ts'

const bytesOf = (words: readonly number[]): ArrayBuffer => {
  const view = new DataView(new ArrayBuffer(words.length * 2))
  for (const [i, word] of words.entries()) view.setInt16(i * 2, word, true)
  return view.buffer
}

describe('stored peaks', () => {
  it('are pairs of minimum and maximum, 32767 being full scale', () => {
    const peaks = decodePeaks(bytesOf([-32_767, 32_767, -16_384, 0]), 1, 256)
    expect([...peaks.minima]).toEqual([-1, Math.fround(-16_384 / 32_767)])
    expect([...peaks.maxima]).toEqual([1, 0])
  })
  it('cover all channels', () => {
    const peaks = decodePeaks(bytesOf([-100, 200, 0, 0, -300, 50, -1, 1]), 2, 256)
    expect([...peaks.minima].map((value) => Math.round(value * 32_767))).toEqual([-300, -1])
    expect([...peaks.maxima].map((value) => Math.round(value * 32_767))).toEqual([200, 1])
  })
  it('are rejected where the length does not fit', () => {
    expect(() => decodePeaks(new ArrayBuffer(6), 1, 256)).toThrow('are damaged')
    expect(() => decodePeaks(new ArrayBuffer(4), 2, 256)).toThrow('are damaged')
    expect(() => decodePeaks(new ArrayBuffer(4), 0, 256)).toThrow('are damaged')
    expect(() => decodePeaks(new ArrayBuffer(4), 1, Number.NaN)).toThrow('are damaged')
  })
  it('may be empty', () => {
    expect(decodePeaks(new ArrayBuffer(0), 1, 256).minima).toHaveLength(0)
  })
})

describe('a slice', () => {
  const words = Array.from({ length: 100 }, (_, i) => [-i * 100, i * 200]).flat()
  const peaks = decodePeaks(bytesOf(words), 1, 10)

  it('keeps the extremes of each column', () => {
    const { maxima, minima } = slicePeaks(peaks, 0, 1000, 10)
    expect(maxima).toHaveLength(10)
    expect([...maxima].map((value) => Math.round(value * 32_767))).toEqual(
      Array.from({ length: 10 }, (_, i) => (i * 10 + 9) * 200),
    )
    expect([...minima].map((value) => Math.round(value * 32_767))).toEqual(
      Array.from({ length: 10 }, (_, i) => -(i * 10 + 9) * 100),
    )
  })
  it('has no more columns than peaks', () => {
    expect(slicePeaks(peaks, 200, 300, 500).maxima).toHaveLength(10)
    expect(slicePeaks(peaks, 2000, 3000, 500).maxima).toHaveLength(0)
  })
  it('is clipped at full scale', () => {
    const { maxima } = slicePeaks(peaks, 990, 1000, 1, 8)
    expect(maxima[0]).toBe(1)
  })
  it('reaches full scale at the gain to its own peak', () => {
    const { maxima } = slicePeaks(peaks, 0, 1000, 100, gainToOwnPeak(peaks))
    expect(Math.max(...maxima)).toBeCloseTo(1, 6)
    expect(gainToOwnPeak(decodePeaks(bytesOf([0, 0]), 1, 256))).toBe(1)
  })
})
