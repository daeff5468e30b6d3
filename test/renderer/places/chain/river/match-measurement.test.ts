// Which figures of the last measurement a changed chain still shows: never those of another stage.

import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../../../app/contract/chain-document.ts'
import type { ChainMeasurement, Joint } from '../../../../../app/contract/joints.ts'
import { type ChainRows, insertStage, rowsOf } from '../../../../../renderer/formats/chain/chain-rows.ts'
import { matchMeasurement } from '../../../../../renderer/places/chain/river/match-measurement.ts'

const TAKE = 'take 7'
const joint = (levelDbfs: number): Joint => ({
  levelDbfs,
  loudnessLufs: null,
  samplePeakDbfs: null,
  crestDb: null,
  strandsDbfs: [null, null, null, null, null, null],
})
/** The level at joint k is -k dBFS. */
const measured = (rows: ChainRows) => ({
  of: TAKE,
  keys: rows.map(({ key }) => key),
  stages: rows.map(({ stage }) => stage),
  measurement: {
    joints: [joint(-0), ...rows.map((_, index) => joint(-index - 1))],
    stages: rows.map(({ stage }, index) => ({
      kind: stage.kind,
      on: true,
      remark: null,
      maxReductionDb: index + 1,
      medianReductionDb: 0,
    })),
    seconds: 10,
  } satisfies ChainMeasurement,
})

const three = (): ChainRows => rowsOf([defaultStages['low-cut'], defaultStages.tone, defaultStages.opto])
const shown = (rows: ChainRows, before: ChainRows, of = TAKE) =>
  matchMeasurement(measured(before), of, rows).rows.map(({ stage, ofStage, ofJoint }) => [
    stage?.kind ?? null,
    ofStage,
    ofJoint,
  ])

describe('matchMeasurement', () => {
  it('shows everything as measured for the chain that was measured, also under new keys', () => {
    const rows = three()
    const all = ['low-cut', 'tone', 'opto'].map((kind) => [kind, 'measured', 'measured'])
    expect(shown(rows, rows)).toEqual(all)
    expect(shown(three(), rows)).toEqual(all)
  })

  it('keeps the figures before a changed setting and marks those from it on as stale', () => {
    const rows = three()
    const changed = rows.with(1, { ...rows[1], stage: { ...rows[1].stage, on: false } })
    expect(shown(changed, rows)).toEqual([
      ['low-cut', 'measured', 'measured'],
      ['tone', 'stale', 'stale'],
      ['opto', 'stale', 'stale'],
    ])
  })

  it('gives a new stage no figures, and the joints after it none either', () => {
    const rows = three()
    const longer = insertStage(rows, 'de-ess', 1)
    expect(shown(longer, rows)).toEqual([
      ['low-cut', 'measured', 'measured'],
      [null, 'unknown', 'unknown'],
      ['tone', 'stale', 'unknown'],
      ['opto', 'stale', 'unknown'],
    ])
    // A stage of the same kind as its neighbour is new all the same.
    expect(shown(insertStage(rows, 'tone', 2), rows)[2]).toEqual([null, 'unknown', 'unknown'])
  })

  it('lets a moved stage keep its own figures, with its own input', () => {
    const rows = three()
    const [lowCut, tone, opto] = rows
    const { rows: moved } = matchMeasurement(measured(rows), TAKE, [lowCut, opto, tone])
    expect(moved[1]).toMatchObject({
      before: joint(-2),
      after: joint(-3),
      ofStage: 'stale',
      ofJoint: 'unknown',
    })
    expect(moved[1].stage?.maxReductionDb).toBe(3)
    expect(moved[2]).toMatchObject({
      before: joint(-1),
      after: joint(-2),
      ofStage: 'stale',
      ofJoint: 'unknown',
    })
  })

  it('marks all figures of another take as stale', () => {
    const rows = three()
    const other = matchMeasurement(measured(rows), 'take 8', rows)
    expect(other.ofInput).toBe('stale')
    expect(other.rows.map(({ ofStage }) => ofStage)).toEqual(['stale', 'stale', 'stale'])
  })

  it('does not take a chain with other settings in the same order for the measured one', () => {
    const stages: ChainStages = [defaultStages.opto, defaultStages.opto]
    const [first, second] = rowsOf(stages)
    // The first of two equal stages is removed: the second keeps its own figures, not the first's.
    const [left] = matchMeasurement(measured([first, second]), TAKE, [second]).rows
    expect(left.stage?.maxReductionDb).toBe(2)
  })
})
