// A proposed stage in the chain: its place, what it replaces, and what of the engineer's own stays.

import { describe, expect, it } from 'vitest'
import { type ChainStage, defaultStages } from '../../../app/contract/chain-document.ts'
import { isTakenIn, takeIn, takingInWords } from '../../../renderer/acts/take-in-proposal.ts'
import { rowsOf, stagesOf, usualStages } from '../../../renderer/formats/chain/chain-rows.ts'

type Band = Extract<ChainStage, { kind: 'tone' }>['settings']['bands'][number]

const lowCut: ChainStage = { kind: 'low-cut', on: true, settings: { frequencyHz: 70, slopeDbPerOctave: 24 } }
const tone = (...bands: readonly Band[]): ChainStage => ({
  kind: 'tone',
  on: true,
  settings: { bands: [...bands] },
})
const bell = (frequencyHz: number, gainDb: number): Band => ({ shape: 'bell', frequencyHz, gainDb, q: 1 })
const kindsOf = (stages: readonly ChainStage[]): string[] => stages.map(({ kind }) => kind)

describe('a proposal', () => {
  it('comes in where its kind usually stands', () => {
    const rows = rowsOf([defaultStages.trim, defaultStages['de-ess'], defaultStages.ceiling])
    expect(kindsOf(stagesOf(takeIn(rows, lowCut)))).toEqual(['trim', 'low-cut', 'de-ess', 'ceiling'])
    expect(kindsOf(stagesOf(takeIn([], lowCut)))).toEqual(['low-cut'])
    const opto = structuredClone(defaultStages.opto)
    expect(kindsOf(stagesOf(takeIn(rows, opto)))).toEqual(['trim', 'de-ess', 'opto', 'ceiling'])
  })

  it('sets the stage of its kind where there is one, and turns it on', () => {
    const rows = rowsOf(usualStages().map((stage) => ({ ...stage, on: false })))
    const after = takeIn(rows, lowCut)
    expect(after.map(({ key }) => key)).toEqual(rows.map(({ key }) => key))
    expect(stagesOf(after).find(({ kind }) => kind === 'low-cut')).toEqual(lowCut)
  })

  it('keeps the bands that were set by hand, but for those that do the same work', () => {
    const rows = rowsOf([tone(bell(300, -3), bell(5000, 1))])
    const after = takeIn(rows, tone(bell(330, -2)))
    expect(stagesOf(after)).toEqual([tone(bell(5000, 1), bell(330, -2))])
  })

  it('takes the place of tone bands that nobody has touched', () => {
    const after = takeIn(rowsOf(usualStages()), tone(bell(330, -2)))
    expect(stagesOf(after).find(({ kind }) => kind === 'tone')).toEqual(tone(bell(330, -2)))
  })

  it('is in once it is taken in, twice is no more than once, and a stage that is off does not count', () => {
    const proposed = tone(bell(330, -2))
    const rows = rowsOf([tone(bell(5000, 1))])
    expect(isTakenIn(rows, proposed)).toBe(false)
    const after = takeIn(rows, proposed)
    expect(isTakenIn(after, proposed)).toBe(true)
    expect(stagesOf(takeIn(after, proposed))).toEqual(stagesOf(after))
    expect(
      isTakenIn(
        after.map((row) => ({ ...row, stage: { ...row.stage, on: false } })),
        proposed,
      ),
    ).toBe(false)
  })

  it('says beforehand what it will do', () => {
    expect(takingInWords([], lowCut)).toMatch(/new stage/)
    expect(takingInWords(rowsOf(usualStages()), lowCut)).toMatch(/^Sets the existing stage/)
    expect(takingInWords(rowsOf([tone(bell(5000, 1))]), tone(bell(330, -2)))).toMatch(/^Adds its bands/)
  })
})
