import { expect, it } from 'vitest'
import { discoveriesOf } from '../../../app/dsp/seasons/false-discovery.ts'

// The worked example of Benjamini and Hochberg, J. R. Statist. Soc. B 57(1), 1995, section 3.1.
const PAPER = [
  0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528,
  0.759, 1,
]

it('names the first four tests of the worked example of 1995 at 0.05', () => {
  expect(discoveriesOf(PAPER, 0.05)).toEqual(PAPER.map((_, i) => i < 4))
})

it('keeps the order of the tests', () => {
  expect(discoveriesOf(PAPER.toReversed(), 0.05)).toEqual(PAPER.map((_, i) => i >= PAPER.length - 4))
})

it('names what is under the line of a later test, though over its own', () => {
  // 0.03 is over 0.05 / 2, but 0.04 is under 0.05: both are named.
  expect(discoveriesOf([0.03, 0.04], 0.05)).toEqual([true, true])
  expect(discoveriesOf([], 0.05)).toEqual([])
  expect(discoveriesOf([0.5], 0.05)).toEqual([false])
})
