import { describe, expect, it } from 'vitest'
import { snapFrame, snapToBeat, stepBySnap } from '../../../../renderer/formats/stack/snap.ts'
import { extentOf, lengthInSession, ticksBetween } from '../../../../renderer/places/stack/time-axis.ts'

const tempo = { sampleRateHz: 48_000, tempoBpm: 120, beatsPerBar: 4 }
const free = { sampleRateHz: 48_000, tempoBpm: null, beatsPerBar: 4 }
const labels = (...asked: Parameters<typeof ticksBetween>): (string | null)[] =>
  ticksBetween(...asked)
    .filter((tick) => tick.label !== null)
    .map((tick) => tick.label)

describe('the ruler', () => {
  it('counts bars with a tempo: 2 s each at 120 BPM', () => {
    expect(labels(0, 48_000 * 6, 50, tempo)).toEqual(['1', '2', '3', '4'])
  })
  it('counts bars of three beats as 1.5 s each', () => {
    expect(labels(0, 48_000 * 5, 60, { ...tempo, beatsPerBar: 3 })).toEqual(['1', '2', '3', '4'])
  })
  it('labels beats when zoomed in', () => {
    expect(labels(0, 48_000 * 2, 200, tempo)).toEqual(['1', '1.2', '1.3', '1.4', '2'])
  })
  it('counts eighths in 6/8, and goes on with another tempo from its bar', () => {
    // 6/8 at 120 quarter notes: a bar is 72 000 samples; bar 3 starts at 144 000, in 2/4 at 60: 96 000 a bar.
    const base = {
      ...tempo,
      beatsPerBar: 6,
      beatUnit: 8 as const,
      tempoChanges: [{ bar: 3, tempoBpm: 60, beatsPerBar: 2, beatUnit: 4 as const }],
    }
    const ticks = ticksBetween(0, 336_000, 50, base)
    expect(ticks.filter((tick) => tick.label !== null).map(({ frame, label }) => [label, frame])).toEqual([
      ['1', 0],
      ['2', 72_000],
      ['3', 144_000],
      ['4', 240_000],
      ['5', 336_000],
    ])
    // Six eighths in bars 1 and 2, two quarters after.
    expect(ticks.map(({ frame }) => frame).slice(5, 15)).toEqual([
      60_000, 72_000, 84_000, 96_000, 108_000, 120_000, 132_000, 144_000, 192_000, 240_000,
    ])
    expect(snapFrame(13_000, base)).toBe(12_000)
    expect(snapFrame(200_000, base)).toBe(192_000)
    expect(stepBySnap(144_000, -1, base)).toBe(132_000)
    expect(stepBySnap(144_000, 1, base)).toBe(192_000)
  })
  it('counts seconds without a tempo', () => {
    expect(labels(0, 48_000 * 60, 10, free)).toEqual(['0:00', '0:10', '0:20', '0:30', '0:40', '0:50', '1:00'])
    expect(labels(48_000 * 59.5, 48_000 * 60, 800, free)).toEqual([
      '0:59.5',
      '0:59.6',
      '0:59.7',
      '0:59.8',
      '0:59.9',
      '1:00.0',
    ])
  })
  it('keeps labels at least 72 pixels apart at any zoom', () => {
    for (const base of [tempo, free]) {
      for (let pxPerSecond = 0.5; pxPerSecond < 4000; pxPerSecond *= 1.7) {
        const end = (48_000 * 2000) / pxPerSecond
        const at = ticksBetween(0, end, pxPerSecond, base).filter((tick) => tick.label !== null)
        for (let i = 1; i < at.length; i++) {
          expect(((at[i]!.frame - at[i - 1]!.frame) / 48_000) * pxPerSecond).toBeGreaterThanOrEqual(71.99)
        }
      }
    }
  })
})

describe('snapping', () => {
  it('uses beats with a tempo, and tenths of a second without', () => {
    expect(snapFrame(23_000, tempo)).toBe(24_000)
    expect(snapFrame(-11_000, tempo)).toBe(0)
    expect(snapFrame(7000, free)).toBe(4800)
    // Sections: to the beat, 24 000 frames at 120 BPM, and nowhere without a tempo.
    expect(snapToBeat(23_000.4, tempo)).toBe(24_000)
    expect(snapToBeat(7000.4, free)).toBe(7000)
  })
})

describe('the extent', () => {
  const takes = new Map([
    [1, { frames: 44_100, sampleRateHz: 44_100 }],
    [2, { frames: 96_000, sampleRateHz: 48_000 }],
  ])
  it('counts takes at the sample rate of the session', () => {
    expect(lengthInSession({ frames: 44_100, sampleRateHz: 44_100 }, 48_000)).toBe(48_000)
  })
  it('runs from the first to the last frame and always includes zero', () => {
    expect(
      extentOf(
        [
          { offsetSamples: -4800, takeId: 1 },
          { offsetSamples: 1000, takeId: 2 },
        ],
        takes,
        48_000,
      ),
    ).toEqual({ fromFrame: -4800, toFrame: 97_000 })
    expect(extentOf([{ offsetSamples: 500, takeId: 1 }], takes, 48_000).fromFrame).toBe(0)
    expect(extentOf([], takes, 48_000)).toEqual({ fromFrame: 0, toFrame: 0 })
  })
})
