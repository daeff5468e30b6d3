// Adding, moving and removing stages: identity stays, and no way leads to an order that
// the chain file's own schema refuses.

import { describe, expect, it } from 'vitest'
import { ChainStages } from '../../../../app/contract/chain-document.ts'
import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import {
  type ChainRows,
  insertStage,
  moveStage,
  removeStage,
  replaceStage,
  rowsOf,
  stagesOf,
  usualStages,
} from '../../../../renderer/formats/chain/chain-rows.ts'

const kindsOf = (rows: ChainRows): StageKind[] => rows.map(({ stage }) => stage.kind)

describe('rows of a chain', () => {
  it('start from the usual order, which is a valid chain', () => {
    expect(ChainStages.safeParse(usualStages()).success).toBe(true)
  })

  it('hand out defaults that are not shared', () => {
    const [a, b] = [usualStages(), usualStages()]
    expect(a).toEqual(b)
    expect(a[3].settings).not.toBe(b[3].settings)
  })

  it('take a stage of the sum behind the stages of the layers, and the other way round', () => {
    const rows = rowsOf(usualStages())
    expect(kindsOf(insertStage(rows, 'tone', 0)).slice(0, 3)).toEqual(['trim', 'mic-correction', 'tone'])
    expect(kindsOf(insertStage(rows, 'expander', 8)).slice(0, 3)).toEqual([
      'trim',
      'mic-correction',
      'expander',
    ])
  })

  it('move a stage to where it may stand, and stay the same rows where it may not move', () => {
    const rows = rowsOf(usualStages())
    const drive = rows.find(({ stage }) => stage.kind === 'drive')!
    const moved = moveStage(rows, drive.key, 0)
    expect(kindsOf(moved)[2]).toBe('drive')
    expect(moved[2].key).toBe(drive.key)
    expect(moveStage(moved, drive.key, 0)).toBe(moved)
    expect(moveStage(rows, -1, 3)).toBe(rows)
  })

  it('are a valid chain after any thousand acts', () => {
    let seed = 7
    const next = (below: number): number => {
      seed = (seed * 48_271) % 2_147_483_647
      return seed % below
    }
    const kinds = [...new Set(kindsOf(rowsOf(usualStages()))), 'expander' as const]
    let rows = rowsOf(usualStages())
    for (let act = 0; act < 1000; act++) {
      const row = rows[next(Math.max(1, rows.length))]
      if (next(3) === 0 && rows.length < 20) rows = insertStage(rows, kinds[next(kinds.length)], next(24))
      else if (row === undefined) continue
      else if (next(4) === 0) rows = removeStage(rows, row.key)
      else rows = moveStage(rows, row.key, next(24))
      expect(ChainStages.safeParse(stagesOf(rows)).success).toBe(true)
      expect(new Set(rows.map(({ key }) => key)).size).toBe(rows.length)
    }
  })

  it('change one stage and leave the others as they are', () => {
    const rows = rowsOf(usualStages())
    const changed = replaceStage(rows, rows[3].key, (stage) => ({ ...stage, on: false }))
    expect(changed[3].stage.on).toBe(false)
    expect(changed.filter((row, i) => row !== rows[i])).toHaveLength(1)
  })
})
