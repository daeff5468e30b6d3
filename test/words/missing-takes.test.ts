// What is said of takes whose bytes are not where they were.

import { expect, it } from 'vitest'
import { missingTakesLine, missingTakesWords } from '../../app/words/missing-takes.ts'

it.each([
  [['missing'], '1 take is missing: its file is not where it was.'],
  [['missing', 'missing'], '2 takes are missing: their files are not where they were.'],
  [['changed'], '1 take is missing: what is in its place is not the take.'],
  [
    ['missing', 'changed', 'missing'],
    '3 takes are missing: 2 not where they were, 1 replaced by something else.',
  ],
] as const)('%j in one line', (states, line) => {
  expect(missingTakesLine(states)).toBe(line)
})

it('has a sentence for each state that occurs', () => {
  expect(missingTakesWords(['missing'])).toMatch(/^The file of 1 take is not where it was: moved/)
  expect(missingTakesWords(['missing', 'changed'])).toMatch(
    /^The file of 1 take is not where it was: .* connected\. What is in the place of 1 take is not the take: it was replaced or written to\.$/,
  )
})
