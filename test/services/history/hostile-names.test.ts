// Two computers that were edited apart, with names that break programs, end with the same history, whichever is merged
// first. A history of a newer version is in hostile-files.test.ts.

import { expect, it } from 'vitest'
import { Name } from '../../../app/contract/text/bounded.ts'
import { context } from '../workshop.ts'
import { bring, type Computer, exported, fillComputer, openComputer, saveVersion } from './two-computers.ts'

/** Markup, right to left with an override, the longest that is taken, combining marks, a path, a formula. */
const NAMES = [
  '<script>alert(1)</script>',
  '\u202eآنا\u202c שלום',
  'x'.repeat(200),
  'e\u0301 é 夜 🎙️',
  '../../etc',
  '=1+1',
].map(
  // As the border leaves them: without marks that turn the direction of what follows.
  (name) => Name.parse(name),
)

const sectionNames = ({ workplace: { catalogue } }: Computer): string[] =>
  catalogue.sections.listOfSession(1).map(({ name }) => name)

/** Edits a computer in every way that a history has, with a clock of its own. */
async function edit(computer: Computer, names: readonly string[], minute: number): Promise<void> {
  const { handlers, workplace } = computer
  computer.setMinute(minute)
  const [artist] = workplace.catalogue.artists.list()
  await handlers.renameEntity({ kind: 'artist', id: artist!.id, name: names[0]! }, context)
  // Set back: what follows is dated after what it replaces all the same.
  computer.setMinute(minute - 300)
  await handlers.renameEntity({ kind: 'artist', id: artist!.id, name: names[1]! }, context)
  for (const [k, name] of names.entries()) {
    await handlers.addSection(
      { sessionId: 1, name, startSamples: k * 1000, lengthSamples: k % 2 === 0 ? 0 : 500, note: name },
      context,
    )
  }
  const [version] = workplace.catalogue.chains.versions(1)
  await saveVersion(computer, version!.voiceId, version!.chainId, names[2]!)
  const [layer] = workplace.catalogue.layers.listOfSession(1)
  await handlers.updateLayer(
    { id: layer!.id, changes: { name: names[0]!, gainDb: -names[0]!.length / 100 } },
    context,
  )
  // Another artist of the same name, who is somebody else.
  await handlers.createArtist({ name: names[1]!, note: 'another person' }, context)
}

it.each(['home first', 'studio first'])(
  'edited apart and merged both ways they are equal, %s',
  async (order) => {
    const [home, studio] = [openComputer(), openComputer()]
    await fillComputer(home)
    await bring(home, studio)
    await edit(home, NAMES.slice(0, 3), 10)
    await edit(studio, NAMES.slice(3), 20)
    const [first, second] = order === 'home first' ? [home, studio] : [studio, home]
    const told = async (from: Computer, to: Computer) =>
      new Set((await bring(from, to)).conflicts.map(({ conflict, name }) => `${conflict} ${name}`))
    const toldSecond = await told(first, second)
    const toldFirst = await told(second, first)
    // Both are told of each: the second names come with the values that are valid there.
    for (const one of [toldSecond, toldFirst]) {
      expect([...one].filter((text) => text.startsWith('settings'))).toHaveLength(1)
      expect([...one].filter((text) => text.startsWith('value'))).not.toEqual([])
    }
    expect([...toldSecond].some((text) => text.startsWith('two-ways'))).toBe(true)
    await bring(first, second)
    expect(await exported(studio)).toEqual(await exported(home))
    // Sections are united; settings stay on each as they were set there.
    for (const computer of [home, studio]) {
      expect(sectionNames(computer).sort()).toEqual(NAMES.toSorted())
    }
    const layerOf = ({ workplace: { catalogue } }: Computer) => catalogue.layers.listOfSession(1)[0]
    expect(layerOf(home)).toMatchObject({ name: NAMES[0], gainDb: -NAMES[0]!.length / 100 })
    expect(layerOf(studio)).toMatchObject({ name: NAMES[3], gainDb: -NAMES[3]!.length / 100 })
    for (const computer of [home, studio]) {
      const { artists, identities, chains } = computer.workplace.catalogue
      expect(artists.list().find(({ id }) => id === 1)!.name).toBe(NAMES[4])
      expect(artists.list()).toHaveLength(2)
      expect(chains.versions(1).map(({ note }) => note)).toEqual(expect.arrayContaining([NAMES[2], NAMES[5]]))
      const kept = identities.keptOf('sections', 1).map(({ values }) => JSON.stringify(values))
      for (const name of NAMES) expect(kept.join()).toContain(JSON.stringify(name))
    }
    expect(await bring(first, second)).toMatchObject({ added: [], changed: [], conflicts: [] })
  },
)
