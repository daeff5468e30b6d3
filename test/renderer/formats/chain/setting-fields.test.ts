// Every number of every stage has a field, with the bounds that the chain file has.

import { describe, expect, it } from 'vitest'
import { defaultStages, stageSettings } from '../../../../app/contract/chain-document.ts'
import { fieldsOf } from '../../../../renderer/formats/chain/setting-fields.ts'

const KINDS = Object.keys(stageSettings) as (keyof typeof stageSettings)[]

describe('fields of the stages', () => {
  for (const kind of KINDS) {
    it(`${kind}: one for each number, none for anything else`, () => {
      const { settings } = defaultStages[kind]
      const numbers = Object.entries(settings).filter(([, value]) => typeof value === 'number')
      // The slope is a choice of two and has a list.
      const expected = numbers.map(([key]) => key).filter((key) => key !== 'slopeDbPerOctave')
      expect(
        fieldsOf(kind)
          .map(({ key }) => key)
          .sort(),
      ).toEqual(expected.sort())
    })

    it(`${kind}: the bounds are accepted, and a little beyond is not`, () => {
      for (const { key, min, max } of fieldsOf(kind)) {
        const withValue = (value: number) =>
          stageSettings[kind].safeParse({ ...defaultStages[kind].settings, [key]: value }).success
        expect(withValue(min)).toBe(true)
        expect(withValue(max)).toBe(true)
        expect(withValue(min - 1)).toBe(false)
        expect(withValue(max + 1)).toBe(false)
      }
    })
  }
})
