// Sections of a session in an exchanged history, and what follows where a session was changed on one computer or both.

import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import type { Section } from '../../../app/contract/sections/section.ts'
import { mergeHistory } from '../../../app/services/history/merge-history.ts'
import { readHistory } from '../../../app/services/history/read-history.ts'
import { context } from '../workshop.ts'
import { bring, type Computer, exported, fillComputer, openComputer } from './two-computers.ts'

const VERSE = { name: 'Verse 1 — 夜', startSamples: 0, lengthSamples: 48_000, note: 'sung twice' }
const HOOK = { name: 'Hook', startSamples: 48_000, lengthSamples: 96_000, note: '' }
const INTRO = { name: 'Intro', startSamples: -24_000, lengthSamples: 24_000, note: '' }
const BRIDGE = { name: 'Bridge', startSamples: 200_000, lengthSamples: 0, note: '' }
const CUE = { name: 'Cue', startSamples: 48_000, lengthSamples: 0, note: '' }

/** Sections of the only session. */
const sectionsOf = ({ workplace: { catalogue } }: Computer): Section[] =>
  catalogue.sections.listOfSession(catalogue.sessions.list()[0]!.id)
const fieldsOf = (computer: Computer) =>
  sectionsOf(computer).map(({ id: _, sessionId: __, ...fields }) => fields)
const addSection = ({ handlers }: Computer, fields: typeof VERSE) =>
  handlers.addSection({ ...fields, sessionId: 1 }, context)

const ordersOf = <T>(list: readonly T[]): T[][] =>
  list.length < 2
    ? [[...list]]
    : list.flatMap((one, k) => ordersOf(list.toSpliced(k, 1)).map((others) => [one, ...others]))

async function shared() {
  const [home, studio] = [openComputer(), openComputer()]
  await fillComputer(home)
  for (const fields of [HOOK, VERSE, CUE]) await addSection(home, fields)
  const first = await bring(home, studio)
  return { home, studio, first }
}

it('sections come with a session that is new, and merging again changes nothing', async () => {
  const { home, studio, first } = await shared()
  expect(first.conflicts).toEqual([])
  expect(fieldsOf(studio)).toEqual([VERSE, HOOK, CUE])
  expect(await bring(home, studio)).toMatchObject({ added: [], changed: [], conflicts: [] })
  expect(await exported(studio)).toEqual(await exported(home))
})

it('changed on one computer alone they follow, there and back, and those that stay keep their ids', async () => {
  const { home, studio } = await shared()
  const [verse, hook] = sectionsOf(studio)
  studio.setMinute(10)
  await studio.handlers.updateSection({ id: hook!.id, changes: { name: 'Chorus' } }, context)
  const ids = sectionsOf(home).map(({ id }) => id)
  const merged = await bring(studio, home)
  expect(merged).toMatchObject({
    changed: [{ kind: 'session', name: 'Night — 夜, 2026-10-01: sections' }],
    conflicts: [],
  })
  expect(fieldsOf(home)).toEqual([VERSE, { ...HOOK, name: 'Chorus' }, CUE])
  expect(
    sectionsOf(home)
      .filter(({ id }) => ids.includes(id))
      .map(({ name }) => name),
  ).toEqual([VERSE.name, 'Cue'])
  home.setMinute(20)
  await home.handlers.removeSection({ id: sectionsOf(home)[0]!.id }, context)
  expect(await bring(home, studio)).toMatchObject({ conflicts: [] })
  expect(sectionsOf(studio).some(({ id }) => id === verse!.id)).toBe(false)
  expect(await exported(studio)).toEqual(await exported(home))
})

it('added and removed on both, they are united on both, whichever history comes first', async () => {
  const { home, studio } = await shared()
  home.setMinute(10)
  await home.handlers.removeSection({ id: sectionsOf(home)[0]!.id }, context)
  await addSection(home, INTRO)
  studio.setMinute(11)
  await addSection(studio, BRIDGE)
  expect((await bring(studio, home)).conflicts).toEqual([])
  expect((await bring(home, studio)).conflicts).toEqual([])
  for (const computer of [home, studio]) expect(fieldsOf(computer)).toEqual([INTRO, HOOK, CUE, BRIDGE])
  expect(await exported(studio)).toEqual(await exported(home))
  for (const [from, to] of [
    [home, studio],
    [studio, home],
  ] as const) {
    expect(await bring(from, to)).toMatchObject({ added: [], changed: [], conflicts: [] })
  }
  // Both go on from what was united.
  home.setMinute(20)
  await home.handlers.removeSection({ id: sectionsOf(home).at(-1)!.id }, context)
  studio.setMinute(21)
  await studio.handlers.updateSection({ id: sectionsOf(studio)[1]!.id, changes: { name: 'Chorus' } }, context)
  expect((await bring(home, studio)).conflicts).toEqual([])
  expect((await bring(studio, home)).conflicts).toEqual([])
  for (const computer of [home, studio]) {
    expect(fieldsOf(computer)).toEqual([INTRO, { ...HOOK, name: 'Chorus' }, CUE])
  }
  expect(await exported(studio)).toEqual(await exported(home))
})

it('a section that was changed on both is a conflict: each keeps its own and the other’s, and both are said', async () => {
  const { home, studio } = await shared()
  const rename = (computer: Computer, minute: number, name: string) => {
    computer.setMinute(minute)
    return computer.handlers.updateSection({ id: sectionsOf(computer)[1]!.id, changes: { name } }, context)
  }
  await rename(home, 10, 'Refrain')
  await rename(studio, 11, 'Chorus')
  const here = [VERSE, { ...HOOK, name: 'Refrain' }, CUE]
  const there = [VERSE, { ...HOOK, name: 'Chorus' }, CUE]
  for (const [from, to, own, other, said] of [
    [studio, home, here, there, 'Chorus from sample 48000'],
    [home, studio, there, here, 'Refrain from sample 48000'],
  ] as const) {
    const { conflicts } = await bring(from, to)
    expect(conflicts).toMatchObject([{ conflict: 'settings', kind: 'session' }])
    expect(conflicts[0]!.details.join()).toContain(said)
    expect(fieldsOf(to)).toEqual(own)
    expect(
      to.workplace.catalogue.identities.keptOf('sections', 1).map(({ values }) => values),
    ).toContainEqual({
      sections: other,
    })
    expect(await bring(from, to)).toMatchObject({ added: [], changed: [], conflicts: [] })
  }
  expect(await exported(studio)).toEqual(await exported(home))
})

it('three computers that changed sections apart end with the same in every order', async () => {
  const { home, studio } = await shared()
  const [van, desk] = [openComputer(), openComputer()]
  await bring(home, van)
  home.setMinute(10)
  await home.handlers.removeSection({ id: sectionsOf(home)[0]!.id }, context)
  await addSection(home, INTRO)
  studio.setMinute(11)
  await addSection(studio, BRIDGE)
  van.setMinute(12)
  await van.handlers.updateSection({ id: sectionsOf(van)[1]!.id, changes: { name: 'Chorus' } }, context)
  const histories = await Promise.all(
    [home, studio, van].map(async (computer) => readHistory(await exported(computer), 'history')),
  )
  const united = [INTRO, { ...HOOK, name: 'Chorus' }, CUE, BRIDGE]
  for (const computer of [home, studio, van, desk]) {
    for (const order of ordersOf(histories)) {
      const { workplace } = computer
      const undo = new Error('undo')
      try {
        workplace.catalogue.transaction(() => {
          const told = order.flatMap((history) => mergeHistory(workplace, history).conflicts)
          expect(told).toEqual([])
          expect(fieldsOf(computer)).toEqual(united)
          throw undo
        })
      } catch (error) {
        if (error !== undo) throw error
      }
    }
  }
  // Two by two, so that each unites others first.
  for (const [from, to] of [
    [home, studio],
    [van, home],
    [studio, van],
    [home, studio],
    [van, home],
    [studio, desk],
    [studio, van],
    [van, home],
    [van, studio],
    [van, desk],
  ] as const) {
    expect((await bring(from, to)).conflicts).toEqual([])
  }
  for (const computer of [home, studio, van, desk]) {
    expect(fieldsOf(computer)).toEqual(united)
    expect(await exported(computer)).toEqual(await exported(home))
  }
})

it('sections of one computer and gains of the other go together', async () => {
  const { home, studio } = await shared()
  home.setMinute(10)
  await home.handlers.removeSection({ id: sectionsOf(home)[0]!.id }, context)
  studio.setMinute(11)
  const [layer] = studio.workplace.catalogue.layers.listOfSession(1)
  await studio.handlers.updateLayer({ id: layer!.id, changes: { gainDb: -4.5 } }, context)
  expect((await bring(studio, home)).conflicts).toEqual([])
  expect((await bring(home, studio)).conflicts).toEqual([])
  for (const computer of [home, studio]) {
    expect(fieldsOf(computer)).toEqual([HOOK, CUE])
    expect(computer.workplace.catalogue.layers.listOfSession(1)).toMatchObject([{ gainDb: -4.5 }])
  }
  expect(await exported(studio)).toEqual(await exported(home))
})

it('a session that only one computer changes follows it each time, though nothing is brought back', async () => {
  const { home, studio } = await shared()
  for (const gainDb of [2, 3.5]) {
    home.setMinute(10 * gainDb)
    const [layer] = home.workplace.catalogue.layers.listOfSession(1)
    await home.handlers.updateLayer({ id: layer!.id, changes: { gainDb } }, context)
    await addSection(home, { ...CUE, name: `Cue ${gainDb}` })
    const merged = await bring(home, studio)
    expect(merged.conflicts).toEqual([])
    expect(merged.changed).toHaveLength(2)
    expect(studio.workplace.catalogue.layers.listOfSession(1)).toMatchObject([{ gainDb }])
    expect(fieldsOf(studio)).toEqual(fieldsOf(home))
  }
})

it('a clock that was set back does not make the newer value the older one', async () => {
  const { home, studio } = await shared()
  home.setMinute(30)
  const rename = (name: string) => home.handlers.renameEntity({ kind: 'artist', id: 1, name }, context)
  await rename('Ana Ü')
  await bring(home, studio)
  home.setMinute(-90)
  await rename('Ana U.')
  const [layer] = home.workplace.catalogue.layers.listOfSession(1)
  await home.handlers.updateLayer({ id: layer!.id, changes: { gainDb: -1.5 } }, context)
  await home.handlers.removeSection({ id: sectionsOf(home)[0]!.id }, context)
  // What the studio has is of the time before.
  expect(await bring(studio, home)).toMatchObject({ changed: [], conflicts: [] })
  expect((await bring(home, studio)).conflicts).toEqual([])
  for (const computer of [home, studio]) {
    expect(computer.workplace.catalogue.artists.list()[0]!.name).toBe('Ana U.')
    expect(computer.workplace.catalogue.layers.listOfSession(1)).toMatchObject([{ gainDb: -1.5 }])
    expect(fieldsOf(computer)).toEqual([HOOK, CUE])
  }
  expect(await exported(studio)).toEqual(await exported(home))
})

it('a history that was written without sections is read, and leaves those that are here', async () => {
  const path = new URL('../../kept/history-1/history.zip', import.meta.url)
  const entries = await readHistory(readFileSync(path), 'history.zip')
  expect(entries.history).toMatchObject({ v: 1, sessions: [{ sections: [] }] })
  const studio = openComputer()
  const merged = mergeHistory(studio.workplace, entries)
  expect(merged.added).toHaveLength(9)
  expect(fieldsOf(studio)).toEqual([])
  studio.setMinute(10)
  for (const fields of [VERSE, HOOK]) await addSection(studio, fields)
  expect(mergeHistory(studio.workplace, entries)).toMatchObject({ added: [], changed: [], conflicts: [] })
  expect(fieldsOf(studio)).toEqual([VERSE, HOOK])
  const home = openComputer()
  await bring(studio, home)
  expect(fieldsOf(home)).toEqual([VERSE, HOOK])
})
