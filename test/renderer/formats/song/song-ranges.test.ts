// Ranges of a take by name, in the time of the take and of the session.

import { expect, it } from 'vitest'
import type { Take } from '../../../../app/contract/entities.ts'
import {
  framesOf,
  phrasesOf,
  rangeBeside,
  sectionsOfTake,
  spanWords,
} from '../../../../renderer/formats/song/song-ranges.ts'

const place = { sampleRateHz: 48_000, offsetFrames: 10 * 48_000 }

it('are shifted by where the take lies', () => {
  const range = { name: 'Verse', fromSeconds: 2, toSeconds: 3.5 }
  expect(framesOf(place, range)).toEqual({ fromFrame: 576_000, toFrame: 648_000 })
  expect(spanWords(place, range)).toBe('0:12.0 to 0:13.5')
})

it('sections are those with a length that the take reaches into, cut at its ends', () => {
  const section = (name: string, fromS: number, lengthS: number) => ({
    name,
    startSamples: fromS * 48_000,
    lengthSamples: lengthS * 48_000,
  })
  const sections = [
    section('Intro', 0, 10),
    section('Verse', 5, 10),
    section('Mark', 12, 0),
    section('Hook', 18, 10),
    section('Outro', 30, 5),
  ]
  expect(sectionsOfTake(sections, place, 15)).toEqual([
    { name: 'Verse', fromSeconds: 0, toSeconds: 5 },
    { name: 'Hook', fromSeconds: 8, toSeconds: 15 },
  ])
})

it('phrases are those of the take’s check; none where it was not checked', () => {
  const phrases = [
    { fromS: 1, toS: 2, levelDbfs: -20 },
    { fromS: 3, toS: 4, levelDbfs: -18 },
  ]
  const checked = { facts: { check: { phrases } } } as unknown as Take
  expect(phrasesOf(checked)).toEqual([
    { name: 'Phrase 1', fromSeconds: 1, toSeconds: 2 },
    { name: 'Phrase 2', fromSeconds: 3, toSeconds: 4 },
  ])
  expect(phrasesOf({ facts: {} } as unknown as Take)).toEqual([])
})

it('the one beside a moment is the nearest by its start, and none beyond the ends', () => {
  const ranges = [3, 1, 2].map((from) => ({ name: `${from}`, fromSeconds: from, toSeconds: from + 0.5 }))
  expect(rangeBeside(ranges, 1, 1)?.name).toBe('2')
  expect(rangeBeside(ranges, 3, -1)?.name).toBe('2')
  expect(rangeBeside(ranges, -1, 1)?.name).toBe('1')
  expect(rangeBeside(ranges, 3, 1)).toBeNull()
  expect(rangeBeside(ranges, 1, -1)).toBeNull()
  expect(rangeBeside([], 0, 1)).toBeNull()
})
