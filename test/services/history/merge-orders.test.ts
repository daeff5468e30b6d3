// What stays valid where several computers set one session: the same in whatever order their histories come, nothing
// that was set on a computer is replaced there by what was not made from it, and every computer is told.

import { expect, it } from 'vitest'
import type { HistoryConflict } from '../../../app/contract/exchange/conflict.ts'
import { mergeHistory } from '../../../app/services/history/merge-history.ts'
import { packHistory } from '../../../app/services/history/pack-history.ts'
import { type HistoryEntries, readHistory } from '../../../app/services/history/read-history.ts'
import { context } from '../workshop.ts'
import { bring, type Computer, exported, fillComputer, openComputer } from './two-computers.ts'

const layerOf = ({ workplace: { catalogue } }: Computer) => catalogue.layers.listOfSession(1)[0]!
async function setGain(computer: Computer, minute: number, gainDb: number): Promise<void> {
  computer.setMinute(minute)
  await computer.handlers.updateLayer({ id: layerOf(computer).id, changes: { gainDb } }, context)
}
const historyOf = async (computer: Computer): Promise<HistoryEntries> =>
  readHistory(await exported(computer), 'history')

/** The gain after histories were merged in an order, and the conflicts that were told; the catalogue stays as it was. */
function tried(computer: Computer, histories: readonly HistoryEntries[]) {
  const { workplace } = computer
  let found: { gainDb: number; told: HistoryConflict[] } | undefined
  class Undo extends Error {}
  try {
    workplace.catalogue.transaction(() => {
      const told = histories.flatMap((history) => mergeHistory(workplace, history).conflicts)
      found = { gainDb: layerOf(computer).gainDb, told }
      throw new Undo()
    })
  } catch (error) {
    if (!(error instanceof Undo)) throw error
  }
  return found!
}

const ordersOf = <T>(list: readonly T[]): T[][] =>
  list.length < 2
    ? [[...list]]
    : list.flatMap((one, k) => ordersOf(list.toSpliced(k, 1)).map((others) => [one, ...others]))

async function shared(count: number): Promise<Computer[]> {
  const computers = Array.from({ length: count }, openComputer)
  await fillComputer(computers[0]!)
  for (const computer of computers.slice(1)) await bring(computers[0]!, computer)
  return computers
}

it.each([
  ['home', 14, 15],
  ['the studio', 15, 14],
])(
  'set on two computers, last in %s: each keeps its own and is told, whichever history comes first',
  async (_, atHome, inStudio) => {
    const [home, studio] = (await shared(2)) as [Computer, Computer]
    await setGain(home, atHome, 2)
    await setGain(studio, inStudio, -4.5)
    expect((await bring(home, studio)).conflicts).toMatchObject([{ conflict: 'settings', kind: 'session' }])
    expect(layerOf(studio).gainDb).toBe(-4.5)
    const { conflicts, changed } = await bring(studio, home)
    expect(conflicts).toMatchObject([{ conflict: 'settings', kind: 'session' }])
    expect(conflicts[0]!.details[0]).toContain('gain 2 dB')
    expect(conflicts[0]!.details[1]).toContain('gain -4.5 dB')
    expect(changed).toEqual([])
    expect(layerOf(home).gainDb).toBe(2)
    // Gone on with on one: the other still keeps its own, and is told of the new settings.
    await setGain(studio, 30, -5)
    expect((await bring(studio, home)).conflicts).toHaveLength(1)
    expect(layerOf(home).gainDb).toBe(2)
    expect(await bring(studio, home)).toMatchObject({ added: [], changed: [], conflicts: [] })
  },
)

it('several computers end with the same in every order', async () => {
  const [home, studio, van, desk] = (await shared(4)) as [Computer, Computer, Computer, Computer]
  await setGain(home, 14, 2)
  const early = await historyOf(home)
  await bring(home, van)
  await setGain(van, 16, 5)
  await setGain(studio, 20, -4.5)
  const [ofHome, ofStudio, ofVan] = [await historyOf(home), await historyOf(studio), await historyOf(van)]
  for (const order of ordersOf([ofStudio, ofVan])) {
    // The van went on from what was set at home.
    expect(tried(home, order)).toMatchObject({ gainDb: 5, told: [{ conflict: 'settings' }] })
  }
  for (const order of ordersOf([ofHome, ofVan])) {
    const { gainDb, told } = tried(studio, order)
    expect(gainDb).toBe(-4.5)
    expect(told.length).toBeGreaterThan(0)
  }
  for (const order of ordersOf([early, ofStudio])) expect(tried(van, order).gainDb).toBe(5)
  // Nothing was set here, so the newest is valid; that they differ is told.
  for (const order of ordersOf([ofHome, ofStudio, ofVan])) {
    const { gainDb, told } = tried(desk, order)
    expect(gainDb).toBe(-4.5)
    expect(told.length).toBeGreaterThan(0)
  }
  for (const [from, to] of [
    [home, studio],
    [van, studio],
    [studio, home],
    [studio, van],
    [van, desk],
  ] as const) {
    await bring(from, to)
  }
  for (const computer of [studio, van, desk]) expect(await exported(computer)).toEqual(await exported(home))
})

it('what was changed and changed back is no change, and the same set on both is no conflict', async () => {
  const [home, studio] = (await shared(2)) as [Computer, Computer]
  await setGain(home, 10, 3)
  await setGain(home, 11, 0)
  await setGain(studio, 12, -1)
  expect((await bring(home, studio)).conflicts).toEqual([])
  expect((await bring(studio, home)).conflicts).toEqual([])
  expect(layerOf(home).gainDb).toBe(-1)
  await setGain(home, 20, 4)
  await setGain(studio, 21, 4)
  expect((await bring(home, studio)).conflicts).toEqual([])
  expect((await bring(studio, home)).conflicts).toEqual([])
  await setGain(studio, 30, 6)
  expect((await bring(studio, home)).conflicts).toEqual([])
  expect(layerOf(home).gainDb).toBe(6)
})

it('pins go with the versions, and what is unpinned on one computer is on the other', async () => {
  const [home, studio] = [openComputer(), openComputer()]
  const { version, voice } = await fillComputer(home)
  const pin = ({ handlers }: Computer, isPinned: boolean) =>
    handlers.pinChainVersion({ id: version.id, isPinned }, context)
  const pinsOf = ({ workplace: { catalogue } }: Computer) => catalogue.voiceHistory.pins(voice.id)
  home.setMinute(10)
  await pin(home, true)
  await bring(home, studio)
  expect(pinsOf(studio)).toEqual([version.id])
  // What an archive of the session holds.
  const archived = await readHistory(await packHistory(home.workplace, { sessionIds: [1] }), 'archive')
  expect(archived.history.pins).toMatchObject([{ sha256: version.node }])
  expect(await bring(home, studio)).toMatchObject({ added: [], changed: [], conflicts: [] })
  studio.setMinute(20)
  await pin(studio, false)
  // What came earlier does not pin it again.
  await bring(home, studio)
  expect(pinsOf(studio)).toEqual([])
  expect((await bring(studio, home)).conflicts).toEqual([])
  expect(pinsOf(home)).toEqual([])
  home.setMinute(30)
  await pin(home, true)
  await pin(studio, true)
  expect((await bring(studio, home)).conflicts).toEqual([])
  await bring(home, studio)
  for (const computer of [home, studio]) expect(pinsOf(computer)).toEqual([version.id])
  expect(await exported(studio)).toEqual(await exported(home))
})
