import { expect, it } from 'vitest'
import type { Take } from '../../../../app/contract/entities.ts'
import { fullerTakes } from '../../../../renderer/formats/voice/fuller-takes.ts'

const takeWith = (id: number, sungS: number): Take =>
  ({
    id,
    name: `take ${id}`,
    facts: { check: { isOneVoice: true, phrases: [{ fromS: 1, toS: 1 + sungS }] } },
  }) as unknown as Take

const ids = (takes: readonly Take[]): number[] => takes.map(({ id }) => id)

it('offers takes with enough voice, most voice first, and never one that was refused', () => {
  const takes = [takeWith(1, 12), takeWith(2, 9.9), takeWith(3, 40), takeWith(4, 20)]
  expect(ids(fullerTakes(takes, () => false))).toEqual([3, 4, 1])
  expect(ids(fullerTakes(takes, (id) => id === 3))).toEqual([4, 1])
  expect(fullerTakes(takes, () => true)).toEqual([])
})

it('offers six at most', () => {
  const takes = Array.from({ length: 9 }, (_, k) => takeWith(k + 1, 11 + k))
  expect(ids(fullerTakes(takes, () => false))).toEqual([9, 8, 7, 6, 5, 4])
})
