// The part of a long take that is measured first.

import { expect, it } from 'vitest'
import type { Take } from '../../../../app/contract/entities.ts'
import { firstPartOf } from '../../../../renderer/formats/song/first-part.ts'

const takeOf = (seconds: number, phrases?: readonly (readonly [fromS: number, toS: number, dB: number])[]) =>
  ({
    frames: seconds * 48_000,
    sampleRateHz: 48_000,
    facts: {
      check:
        phrases === undefined
          ? undefined
          : { phrases: phrases.map(([fromS, toS, levelDbfs]) => ({ fromS, toS, levelDbfs })) },
    },
  }) as unknown as Pick<Take, 'frames' | 'sampleRateHz' | 'facts'>

it('is none of a take that is measured as soon whole', () => {
  expect(firstPartOf(takeOf(30), null)).toBeNull()
  expect(firstPartOf(takeOf(30), { fromSeconds: 1, toSeconds: 4 })).toBeNull()
  expect(firstPartOf(takeOf(31), null)).not.toBeNull()
})

it('is where the most energy of phrases is: 6 dB less for twice as long loses', () => {
  const phrases = [
    [10, 20, -26],
    [100, 105, -20],
    [250, 252, -20],
  ] as const
  expect(firstPartOf(takeOf(300, phrases), null)).toEqual({ fromSeconds: 100, toSeconds: 115 })
  expect(firstPartOf(takeOf(300, phrases.slice(0, 1)), null)).toEqual({ fromSeconds: 10, toSeconds: 25 })
})

it('stays within the take, and is its middle without phrases', () => {
  expect(firstPartOf(takeOf(300, [[295, 299, -20]]), null)).toEqual({ fromSeconds: 285, toSeconds: 300 })
  expect(firstPartOf(takeOf(300), null)).toEqual({ fromSeconds: 142.5, toSeconds: 157.5 })
  expect(firstPartOf(takeOf(300, []), null)).toEqual({ fromSeconds: 142.5, toSeconds: 157.5 })
})

it('is a short range itself, and within a long one', () => {
  const phrases = [
    [10, 20, -20],
    [100, 105, -20],
  ] as const
  const take = takeOf(300, phrases)
  expect(firstPartOf(take, { fromSeconds: 50, toSeconds: 60 })).toEqual({ fromSeconds: 50, toSeconds: 60 })
  expect(firstPartOf(take, { fromSeconds: 60, toSeconds: 200 })).toEqual({ fromSeconds: 100, toSeconds: 115 })
  expect(firstPartOf(take, { fromSeconds: 295, toSeconds: 400 })).toEqual({
    fromSeconds: 295,
    toSeconds: 300,
  })
})

it('is of the whole take for a range outside of it, as its figures are', () => {
  const take = takeOf(300, [[100, 105, -20]])
  expect(firstPartOf(take, { fromSeconds: 310, toSeconds: 320 })).toEqual({
    fromSeconds: 100,
    toSeconds: 115,
  })
})
