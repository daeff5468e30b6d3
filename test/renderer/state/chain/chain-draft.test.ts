// Drafts belong to their owner: whatever the window looks at, an edit reaches the chain it names.

import { beforeEach, describe, expect, it, vi } from 'vitest'
import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import { defaultStages } from '../../../../app/contract/chain-document.ts'
import type { ChainVersion, SessionContents } from '../../../../app/contract/entities.ts'

vi.hoisted(() => {
  vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => {}, removeItem: () => {} })
})
vi.mock('../../../../renderer/state/connection.ts', () => ({ on: () => () => {}, client: {} }))

const drafts = await import('../../../../renderer/state/chain/chain-draft.ts')
const { chainOf } = await import('../../../../renderer/state/chain/chain-owner.ts')
const heard = await import('../../../../renderer/state/chain/heard-draft.ts')
const { sessionContentsQuery } = await import('../../../../renderer/state/queries.ts')
const { queryClient } = await import('../../../../renderer/state/query-client.ts')
const { goTo, readSelection, selectGroup, selectSession } = await import(
  '../../../../renderer/state/selection.ts'
)
const { undoHistory } = await import('../../../../renderer/state/undo.ts')
const { putInChain } = await import('../../../../renderer/acts/put-in-chain.ts')
const { bringCorrection } = await import('../../../../renderer/acts/bring-correction.ts')
const { sourceOf } = await import('../../../../renderer/playback/heard.ts')

const stages = (...kinds: (keyof typeof defaultStages)[]): ChainStages =>
  kinds.map((kind) => defaultStages[kind])
const version = (id: number, of: ChainStages): ChainVersion =>
  ({ id, chainId: id, number: 1, stages: of }) as unknown as ChainVersion

let sessionId = 0
let contents: SessionContents

/** A session of its own for each test: Lead (1) with tone and opto, Doubles (2) with a low-cut. */
beforeEach(() => {
  sessionId++
  contents = {
    session: { id: sessionId, chainSharing: 'own', sharedChainVersionId: null },
    groups: [
      { id: 1, name: 'Lead', chainVersionId: 11 },
      { id: 2, name: 'Doubles', chainVersionId: 12 },
    ],
    layers: [],
    takes: [],
    chainVersions: [version(11, stages('tone', 'opto')), version(12, stages('low-cut'))],
  } as unknown as SessionContents
  queryClient.setQueryData(sessionContentsQuery(sessionId).queryKey, contents)
  selectSession(sessionId)
  selectGroup(1)
  goTo('stack')
  heard.setComparing(false)
})

const chainOfGroup = (id: number) => chainOf(contents, contents.groups.find((group) => group.id === id)!)
const kindsOf = (groupId: number) =>
  drafts.readDraft(chainOfGroup(groupId).owner)?.rows.map(({ stage }) => stage.kind)
/** Acts run in turn; an empty one ends after those that were asked for before it. */
const settled = () => undoHistory.perform({ label: '', redo: async () => {}, undo: async () => {} })

describe('edits', () => {
  it('reach the owner they name, also while another one is selected', async () => {
    const lead = chainOfGroup(1)
    const doubles = chainOfGroup(2)
    drafts.followUsed(lead)
    drafts.followUsed(doubles)
    selectGroup(2)
    drafts.editRows(lead.owner, 'remove Opto', (rows) => rows.slice(0, 1))
    drafts.openStages(doubles.owner, 'open', stages('ceiling'), null)
    await settled()
    expect(kindsOf(1)).toEqual(['tone'])
    expect(kindsOf(2)).toEqual(['ceiling'])
    expect(drafts.allDrafts().filter(drafts.isChanged)).toHaveLength(2)
  })

  it('are undone where they were made', async () => {
    const lead = chainOfGroup(1)
    drafts.followUsed(lead)
    drafts.editRows(lead.owner, 'remove Opto', (rows) => rows.slice(0, 1))
    selectGroup(2)
    await undoHistory.undo()
    expect(kindsOf(1)).toEqual(['tone', 'opto'])
    await undoHistory.redo()
    expect(kindsOf(1)).toEqual(['tone'])
  })

  it('of one setting are one step, of one owner only', async () => {
    const lead = chainOfGroup(1)
    const shared = { owner: { ...lead.owner, groupId: 2 }, used: lead.used }
    for (const chain of [lead, shared]) drafts.followUsed(chain)
    const row = drafts.readDraft(lead.owner)!.rows[1] as { key: number; stage: { kind: 'opto' } }
    const setRatio = (owner: typeof lead.owner, key: number, ratio: number): void =>
      drafts.editStage(owner, { ...row, key }, 'ratio', (stage) => ({
        ...stage,
        settings: { ...stage.settings, ratio },
      }))
    setRatio(lead.owner, row.key, 3)
    setRatio(lead.owner, row.key, 4)
    setRatio(shared.owner, drafts.readDraft(shared.owner)!.rows[1].key, 5)
    await undoHistory.undo()
    await undoHistory.undo()
    expect(drafts.isChanged(drafts.readDraft(lead.owner)!)).toBe(false)
    expect(drafts.isChanged(drafts.readDraft(shared.owner)!)).toBe(false)
  })
})

describe('a draft', () => {
  it('follows the owner to another version while unchanged, and keeps its changes', async () => {
    const { owner } = chainOfGroup(1)
    drafts.followUsed(chainOfGroup(1))
    drafts.followUsed({ owner, used: version(13, stages('de-ess')) })
    expect(kindsOf(1)).toEqual(['de-ess'])
    drafts.editRows(owner, 'remove De-ess', () => [])
    await settled()
    drafts.followUsed({ owner, used: version(14, stages('drive')) })
    expect(kindsOf(1)).toEqual([])
    expect(drafts.readDraft(owner)).toMatchObject({ version: { id: 13 }, usedVersionId: 14 })
  })

  it('counts as saved once it is', async () => {
    const { owner } = chainOfGroup(1)
    drafts.followUsed(chainOfGroup(1))
    drafts.editRows(owner, 'remove Opto', (rows) => rows.slice(0, 1))
    await settled()
    drafts.markSaved(owner, version(15, stages('tone')))
    expect(drafts.isChanged(drafts.readDraft(owner)!)).toBe(false)
    // The save stays when the edit before it is undone.
    await undoHistory.undo()
    await undoHistory.undo()
    expect(drafts.readDraft(owner)).toMatchObject({ version: { id: 15 }, usedVersionId: 15 })
    expect(drafts.isChanged(drafts.readDraft(owner)!)).toBe(true)
  })
})

describe('what is heard', () => {
  it('is the draft of the selected group while Chain is open, and the saved chain elsewhere', async () => {
    const lead = chainOfGroup(1)
    drafts.followUsed(lead)
    drafts.editRows(lead.owner, 'remove Opto', (rows) => rows.slice(0, 1))
    await settled()
    expect(heard.readHeardDraft()).toBeNull()
    const group = { kind: 'group', groupId: 1 } as const
    expect(sourceOf(group).draft).toBeNull()
    goTo('chain')
    expect(heard.readHeardDraft()).toMatchObject({ groupId: 1, isChanged: true, comparedStage: null })
    expect(sourceOf(group).draft).toMatchObject({ groupId: 1, stages: [{ kind: 'tone' }] })
    selectGroup(2)
    // Nobody has worked on this one: it is heard as it is saved.
    expect(heard.readHeardDraft()).toMatchObject({ groupId: 2, isChanged: false })
    expect(heard.readHeardDraft()?.stages.map(({ kind }) => kind)).toEqual(['low-cut'])
  })

  it('tells whoever follows it of edits, of another group and of another place', async () => {
    const watcher = vi.fn()
    const stop = heard.watchHeardDraft(watcher)
    goTo('chain')
    expect(watcher).toHaveBeenCalledTimes(1)
    selectGroup(2)
    expect(watcher).toHaveBeenCalledTimes(2)
    drafts.followUsed(chainOfGroup(2))
    expect(watcher).toHaveBeenCalledTimes(3)
    heard.setComparing(true)
    expect(watcher).toHaveBeenCalledTimes(4)
    expect(heard.readHeardDraft()).toMatchObject({ comparedStage: 0 })
    stop()
    goTo('stack')
    expect(watcher).toHaveBeenCalledTimes(4)
  })
})

describe('stages from elsewhere', () => {
  it('go into the named chain without being heard outside of Chain', async () => {
    putInChain(chainOfGroup(2), [{ ...defaultStages['de-ess'] }])
    await settled()
    expect(kindsOf(2)).toEqual(['low-cut', 'de-ess'])
    expect(kindsOf(1)).toBeUndefined()
    expect(heard.readHeardDraft()).toBeNull()
    expect(readSelection()).toMatchObject({ place: 'stack', groupId: 1 })
  })

  it('bring a mic correction into the current chain, before what runs on the sum', async () => {
    bringCorrection(defaultStages['mic-correction'].settings)
    expect(readSelection().place).toBe('chain')
    await settled()
    expect(kindsOf(1)).toEqual(['mic-correction', 'tone', 'opto'])
    // A second one replaces the settings of the first.
    bringCorrection({ ...defaultStages['mic-correction'].settings, amountPercent: 55 })
    await settled()
    expect(kindsOf(1)).toEqual(['mic-correction', 'tone', 'opto'])
    expect(heard.readHeardDraft()?.stages[0]).toMatchObject({ settings: { amountPercent: 55 } })
  })
})
