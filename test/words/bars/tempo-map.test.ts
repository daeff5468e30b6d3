// Bars and beats through tempo changes, against values worked out by hand: at 120 quarter notes a minute and
// 48 kHz, a quarter is 60 / 120 s = 24 000 samples, an eighth 12 000, a bar of 6/8 72 000.
// Tempo counts quarter notes, as the set-tempo event of Standard MIDI Files does (RP-001, 1996).

import { describe, expect, it } from 'vitest'
import type { TempoChange } from '../../../app/contract/entities.ts'
import {
  frameOf,
  type Metre,
  nearestBeat,
  placeAt,
  tempoSections,
} from '../../../app/words/bars/tempo-map.ts'

const change = (bar: number, tempoBpm: number, beatsPerBar: number, beatUnit: 4 | 8 = 4): TempoChange => ({
  bar,
  tempoBpm,
  beatsPerBar,
  beatUnit,
})
const steady: Metre = { sampleRateHz: 48_000, tempoBpm: 120, beatsPerBar: 4 }
/** Bars 1-2 in 4/4 at 120 (96 000 each), 3-4 in 4/4 at 60 (192 000 each), from 5 in 6/8 at 120 (72 000 each). */
const moving: Metre = { ...steady, tempoChanges: [change(3, 60, 4), change(5, 120, 6, 8)] }

describe.each([
  ['4/4 at 120', steady, 1, 0, 0],
  ['4/4 at 120', steady, 2, 0, 96_000],
  ['4/4 at 120', steady, 3, 2.5, 252_000],
  ['4/4 at 120', steady, 0, 3, -24_000],
  ['6/8 at 120', { ...steady, beatsPerBar: 6, beatUnit: 8 }, 2, 3, 108_000],
  ['2/2 at 120', { ...steady, beatsPerBar: 2, beatUnit: 2 }, 2, 1, 144_000],
  // 7/8 at 140, 44.1 kHz: an eighth is 60/140/2 * 44 100 = 9450.
  ['7/8 at 140', { sampleRateHz: 44_100, tempoBpm: 140, beatsPerBar: 7, beatUnit: 8 }, 3, 1, 141_750],
  ['changes', moving, 2, 3, 168_000],
  ['changes', moving, 3, 0, 192_000],
  ['changes', moving, 3, 1, 240_000],
  ['changes', moving, 5, 0, 576_000],
  ['changes', moving, 5, 3, 612_000],
  ['changes', moving, 7, 0, 720_000],
  ['changes', moving, -1, 0, -192_000],
] as const)('%s', (_name, metre, bar, beat, frame) => {
  const sections = tempoSections(metre)
  it(`bar ${bar}, beat ${beat} from 0 is frame ${frame}, and back`, () => {
    expect(frameOf(sections, { bar, beat })).toBeCloseTo(frame, 6)
    expect(placeAt(sections, frame, 100)).toEqual({ bar, beat })
  })
})

describe('the nearest beat', () => {
  it.each([
    [steady, 13_000, 24_000],
    [steady, 11_000, 0],
    [steady, -13_000, -24_000],
    [moving, 191_000, 192_000],
    [moving, 215_000, 192_000],
    [moving, 217_000, 240_000],
    [moving, 576_000 + 7000, 588_000],
  ])('%o: at %d it is %d', (metre, frame, beat) => {
    expect(nearestBeat(tempoSections(metre), frame)).toBeCloseTo(beat, 6)
  })
})

it('a place that rounds to the end of a bar is the start of the next, also across a change', () => {
  expect(placeAt(tempoSections(steady), 95_999, 100)).toEqual({ bar: 2, beat: 0 })
  expect(placeAt(tempoSections(moving), 191_999, 100)).toEqual({ bar: 3, beat: 0 })
})
