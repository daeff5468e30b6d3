// A session whose chain version is missing or damaged in a history. Without its chain it would go back as if it had
// been changed, and the chain would be lost on the other computer.

import { createHash } from 'node:crypto'
import { expect, it } from 'vitest'
import { versionHash } from '../../../app/history/version-hash.ts'
import { mergeHistory } from '../../../app/services/history/merge-history.ts'
import { type HistoryEntries, readHistory } from '../../../app/services/history/read-history.ts'
import { conflictWords } from '../../../app/words/history.ts'
import { differenceOf } from '../../../renderer/formats/book/exchange-words.ts'
import { context } from '../workshop.ts'
import {
  bring,
  type Computer,
  exported,
  fillComputer,
  openComputer,
  STAGES,
  saveVersion,
} from './two-computers.ts'

type Version = HistoryEntries['history']['versions'][number]

/** What a computer exports, without versions or with others. */
async function spoiled(from: Computer, change: (versions: Version[]) => Version[]): Promise<HistoryEntries> {
  const entries = await readHistory(await exported(from), 'history')
  return { ...entries, history: { ...entries.history, versions: change(entries.history.versions) } }
}

const FAULTS: readonly (readonly [string, (versions: Version[]) => Version[]])[] = [
  ['absent', () => []],
  ['tampered with', (all) => all.map((one) => ({ ...one, node: { ...one.node, note: 'another' } }))],
  ['made from one that is absent', (all) => all.filter(({ node }) => (node.parents as string[]).length > 0)],
]

/** Nodes of the chains of the groups, and of the shared chain. */
function chainsOf({ workplace: { catalogue } }: Computer): (string | undefined)[] {
  const [session] = catalogue.sessions.list()
  if (session === undefined) return []
  const groups = catalogue.groups.listOfSession(session.id).map(({ chainVersionId }) => chainVersionId)
  return [...groups, session.sharedChainVersionId].map((id) =>
    id === null ? undefined : catalogue.historyRows.nodeOfVersion(id),
  )
}

/** A session whose lead has the second version of a chain of its own, and whose shared chain is the same. */
async function filled(): Promise<Computer> {
  const home = openComputer()
  const { voice, version, group, session } = await fillComputer(home)
  const second = await saveVersion(home, voice.id, version.chainId, 'second')
  await home.handlers.updateGroup({ id: group.id, changes: { chainVersionId: second.id } }, context)
  await home.handlers.updateSession({ id: session.id, changes: { sharedChainVersionId: second.id } }, context)
  return home
}

it.each(FAULTS)('%s: a new session waits and is named, and a whole history brings it', async (_, change) => {
  const [home, studio] = [await filled(), openComputer()]
  const chains = chainsOf(home)
  const node = chains[0]!
  const { conflicts } = mergeHistory(studio.workplace, await spoiled(home, change))
  const told = conflicts.filter(({ conflict }) => conflict === 'session-waits')
  expect(told).toEqual([
    {
      conflict: 'session-waits',
      kind: 'session',
      name: 'Night — 夜, 2026-10-01',
      details: [node.slice(0, 12)],
    },
  ])
  expect(conflictWords(told[0]!)).toBe(
    `the session Night — 夜, 2026-10-01 was not taken in: chain version ${node.slice(0, 12)} is missing or damaged in the file; importing a whole export brings it`,
  )
  expect(differenceOf(told[0]!).title).toMatch(/^The session Night .* brings it\.$/)
  expect(studio.workplace.catalogue.sessions.list()).toEqual([])
  // What goes back says nothing of the session.
  expect(await bring(studio, home)).toMatchObject({ changed: [], conflicts: [] })
  expect(chainsOf(home)).toEqual(chains)
  expect((await bring(home, studio)).conflicts).toEqual([])
  expect(chainsOf(studio)).toEqual(chains)
  expect(await exported(studio)).toEqual(await exported(home))
})

it.each(FAULTS.slice(0, 2))(
  '%s: a session that is here stays set as it is, and a whole history brings its settings',
  async (_, change) => {
    const [home, studio] = [await filled(), openComputer()]
    await bring(home, studio)
    const before = chainsOf(studio)
    home.setMinute(10)
    const catalogue = home.workplace.catalogue
    const [newest] = catalogue.chains.versions(1)
    const third = await saveVersion(home, newest!.voiceId, newest!.chainId, 'third')
    const [group] = catalogue.groups.listOfSession(1)
    await home.handlers.updateGroup({ id: group!.id, changes: { chainVersionId: third.id } }, context)
    const isThird = ({ number }: Version) => number === 3
    const entries = await spoiled(home, (all) => [
      ...all.filter((one) => !isThird(one)),
      ...change(all.filter(isThird)),
    ])
    const { conflicts, changed } = mergeHistory(studio.workplace, entries)
    expect(changed).toEqual([])
    const told = conflicts.filter(({ conflict }) => conflict === 'settings-wait')
    expect(told).toMatchObject([{ kind: 'session', details: [third.node.slice(0, 12)] }])
    expect(conflictWords(told[0]!)).toContain('stays set as it is here')
    expect(chainsOf(studio)).toEqual(before)
    // Neither that nor an edit in the studio takes the chain away at home.
    await bring(studio, home)
    expect(chainsOf(home)[0]).toBe(third.node)
    expect(await bring(home, studio)).toMatchObject({ conflicts: [] })
    expect(chainsOf(studio)).toEqual(chainsOf(home))
    expect(await exported(studio)).toEqual(await exported(home))
  },
)

it('bounces of a session that waits wait with it', async () => {
  const [home, studio] = [await filled(), openComputer()]
  home.workplace.catalogue.bounces.insert(
    {
      ...{ sessionId: 1, stems: 1, manifestPath: 'bounces/one/manifest.json' },
      manifestSha256: createHash('sha256').update('invented').digest('hex'),
    },
    '2026-10-01T13:00:00.000Z',
  )
  mergeHistory(studio.workplace, await spoiled(home, () => []))
  expect((await bring(home, studio)).added).toContainEqual({ kind: 'bounce', name: 'one' })
})

it('a history has the chains of settings that are kept, which may become valid elsewhere', async () => {
  const [home, studio, desk] = [openComputer(), openComputer(), openComputer()]
  const { artist, group } = await fillComputer(home)
  await bring(home, studio)
  const ofOther = await studio.handlers.createVoice({ artistId: artist.id, name: 'Rap', note: '' }, context)
  const other = await studio.handlers.saveChain(
    { voiceId: ofOther.id, chainId: null, name: 'Hard', stages: STAGES, note: '' },
    context,
  )
  home.setMinute(10)
  await home.handlers.updateGroup({ id: group.id, changes: { gainDb: 1 } }, context)
  studio.setMinute(20)
  const [there] = studio.workplace.catalogue.groups.listOfSession(1)
  await studio.handlers.updateGroup({ id: there!.id, changes: { chainVersionId: other.id } }, context)
  await bring(studio, home)
  const entries = await readHistory(await exported(home, [1]), 'history')
  const { conflicts } = mergeHistory(desk.workplace, entries)
  expect(conflicts.filter(({ conflict }) => conflict === 'session-waits')).toEqual([])
  expect(entries.history.versions.map(({ node }) => versionHash(node))).toContain(other.node)
  expect(chainsOf(desk)[0]).toBe(other.node)
})
