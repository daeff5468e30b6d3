// Two computers that exchange the history of a voice: nothing is lost, nothing is guessed, and both end with the same.

import { describe, expect, it } from 'vitest'
import { previewHistory } from '../../../app/services/history/merge-history.ts'
import { readHistory } from '../../../app/services/history/read-history.ts'
import { context } from '../workshop.ts'
import { bring, exported, failureOf, fillComputer, openComputer, saveVersion } from './two-computers.ts'

const versionsOf = ({ workplace }: ReturnType<typeof openComputer>) =>
  workplace.catalogue.chains.list().flatMap(({ id }) => workplace.catalogue.chains.versions(id))

describe('a history on an empty catalogue', () => {
  it('brings the whole book of the voice, and says what is new', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    const made = await fillComputer(home)
    const { added, changed, conflicts, voices } = await bring(home, studio)
    expect({ voices, changed, conflicts }).toEqual({ voices: ['Sung'], changed: [], conflicts: [] })
    expect(added).toEqual([
      { kind: 'artist', name: 'Ana Überall' },
      { kind: 'voice', name: 'Sung' },
      { kind: 'mic', name: 'Broad' },
      { kind: 'curve', name: 'On axis' },
      { kind: 'song', name: 'Night — 夜' },
      { kind: 'chain', name: 'Chain' },
      { kind: 'version', name: 'Chain, v1' },
      { kind: 'take', name: 'verse lead' },
      { kind: 'session', name: 'Night — 夜, 2026-10-01' },
    ])
    const there = studio.workplace.catalogue
    const [version] = versionsOf(studio)
    expect(version).toMatchObject({
      node: made.version.node,
      stages: made.version.stages,
      note: 'first',
      number: 1,
    })
    const [session] = there.sessions.list()
    expect(session).toMatchObject({ notes: 'first day', tempoBpm: 90 })
    expect(session!.createdAt).toBe(home.workplace.catalogue.sessions.list()[0]!.createdAt)
    const groups = there.groups.listOfSession(session!.id)
    expect(groups.map(({ name, chainVersionId }) => [name, chainVersionId])).toEqual([
      ['Lead', version!.id],
      ['Doubles', null],
      ['Ad-libs', null],
    ])
    const [layer] = there.layers.listOfSession(session!.id)
    const take = there.takes.get(layer!.takeId)
    expect(take).toMatchObject({ sha256: made.take.sha256, facts: made.take.facts, name: 'verse lead' })
    expect(take.path).toBe(`takes/${made.take.sha256.slice(0, 12)}_verse lead.wav`)
    expect(there.voices.get(take.voiceId!).name).toBe('Sung')
    expect(there.curves.get(take.curveId!).points).toEqual(made.curve.points)
    expect(there.identities.uuidOf('sessions', session!.id)).toBe(
      home.workplace.catalogue.identities.uuidOf('sessions', made.session.id),
    )
    expect(there.ledger.list({ limit: 100 })[0]).toMatchObject({
      kind: 'history-merged',
      artistName: 'Ana Überall',
      name: 'Sung',
      added: 9,
      conflicts: [],
    })
  })

  it('merged again changes nothing and writes no line, and goes back with the same bytes', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    await fillComputer(home)
    await bring(home, studio)
    const lines = studio.workplace.catalogue.ledger.list({ limit: 100 })
    const again = await bring(home, studio)
    expect(again).toMatchObject({ added: [], changed: [], conflicts: [] })
    expect(studio.workplace.catalogue.ledger.list({ limit: 100 })).toEqual(lines)
    expect(await exported(studio)).toEqual(await exported(home))
    expect(await bring(studio, home)).toMatchObject({ added: [], changed: [], conflicts: [] })
  })

  it('previewed says the same and changes nothing', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    await fillComputer(home)
    const entries = await readHistory(await exported(home), 'h')
    const preview = previewHistory(studio.workplace, entries)
    expect(studio.workplace.catalogue.artists.list()).toEqual([])
    expect(studio.workplace.catalogue.ledger.list({ limit: 10 })).toEqual([])
    expect(await bring(home, studio)).toEqual(preview)
  })
})

describe('a chain that was edited on both', () => {
  async function forked() {
    const [home, studio] = [openComputer(), openComputer()]
    const made = await fillComputer(home)
    await bring(home, studio)
    home.setMinute(10)
    // The studio's clock is an hour behind: parents order, not clocks.
    studio.setMinute(-50)
    const [theirs] = versionsOf(studio)
    const ours = await saveVersion(home, made.voice.id, made.version.chainId, 'at home')
    const other = await saveVersion(studio, theirs!.voiceId, theirs!.chainId, 'in the studio')
    return { home, studio, made, ours, other }
  }

  it('has both versions on both, named apart by their hash, and neither is chosen', async () => {
    const { home, studio, ours, other } = await forked()
    const { added, conflicts } = await bring(studio, home)
    expect(added).toEqual([{ kind: 'version', name: 'Chain, v2' }])
    expect(conflicts).toMatchObject([{ conflict: 'two-ways', kind: 'chain', name: 'Chain' }])
    expect(conflicts[0]!.details.join()).toContain(`v2 · ${ours.node.slice(0, 4)}`)
    expect(conflicts[0]!.details.join()).toContain(`v2 · ${other.node.slice(0, 4)}`)
    await bring(home, studio)
    for (const computer of [home, studio]) {
      const versions = versionsOf(computer)
      expect(new Set(versions.map(({ node }) => node))).toEqual(
        new Set([ours.node, other.node, ours.parents[0]]),
      )
      expect(versions.filter(({ sharesNumber }) => sharesNumber).map(({ number }) => number)).toEqual([2, 2])
    }
    expect(await exported(studio)).toEqual(await exported(home))
    // The session goes on with the version that it was set to.
    const [group] = home.workplace.catalogue.groups.listOfSession(1)
    expect(home.workplace.catalogue.chains.version(group!.chainVersionId!).number).toBe(1)
  })

  it('can be saved from either, and joined by a version with two parents', async () => {
    const { home, studio, made, ours, other } = await forked()
    await bring(studio, home)
    const [first, second] = versionsOf(home)
    expect(new Set([first!.node, second!.node])).toEqual(new Set([ours.node, other.node]))
    const newestId = first!.id
    const joined = await home.handlers.saveChain(
      {
        ...{
          voiceId: made.voice.id,
          chainId: made.version.chainId,
          newestId,
          editedId: first!.id,
          mergedId: second!.id,
        },
        ...{ name: 'Chain', stages: made.version.stages, note: 'both' },
      },
      context,
    )
    expect(joined).toMatchObject({ number: 3, sharesNumber: false, parents: [first!.node, second!.node] })
    expect((await bring(home, studio)).conflicts).toEqual([])
    expect(await exported(studio)).toEqual(await exported(home))
  })
})

describe('names and notes that were changed on both', () => {
  it('are the newest on both, and the other is kept and said', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    const { artist } = await fillComputer(home)
    await bring(home, studio)
    home.setMinute(20)
    await home.handlers.renameEntity({ kind: 'artist', id: artist.id, name: 'Ana U.' }, context)
    studio.setMinute(30)
    const [there] = studio.workplace.catalogue.artists.list()
    await studio.handlers.renameEntity({ kind: 'artist', id: there!.id, name: 'Ana Ü' }, context)
    const merged = await bring(studio, home)
    expect(merged.changed).toEqual([{ kind: 'artist', name: 'Ana U.' }])
    expect(merged.conflicts).toEqual([
      {
        conflict: 'value',
        kind: 'artist',
        name: 'Ana U.',
        details: ['Ana Ü (invented)', 'Ana U. (invented)'],
      },
    ])
    await bring(home, studio)
    for (const { workplace } of [home, studio]) {
      expect(workplace.catalogue.artists.list()[0]!.name).toBe('Ana Ü')
      expect(workplace.catalogue.identities.keptOf('artists', 1).map(({ values }) => values)).toContainEqual({
        name: 'Ana U.',
        note: 'invented',
      })
    }
    expect(await exported(studio)).toEqual(await exported(home))
  })

  it('changed on one alone are no conflict', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    const { artist } = await fillComputer(home)
    await bring(home, studio)
    home.setMinute(20)
    await home.handlers.renameEntity({ kind: 'artist', id: artist.id, name: 'Ana U.' }, context)
    expect(await bring(studio, home)).toMatchObject({ changed: [], conflicts: [] })
    expect(await bring(home, studio)).toMatchObject({ changed: [{ kind: 'artist' }], conflicts: [] })
    expect(studio.workplace.catalogue.artists.list()[0]!.name).toBe('Ana U.')
  })
})

describe('two artists of one name', () => {
  it('are asked about; nothing is merged before that is answered', async () => {
    const [home, studio] = [openComputer(), openComputer()]
    await fillComputer(home)
    const other = await studio.handlers.createArtist({ name: 'ana überall', note: '' }, context)
    const failure = await failureOf(() => bring(home, studio))
    expect(failure.code).toBe('conflict')
    expect(failure.message).toContain('Ana Überall')
    expect(studio.workplace.catalogue.voices.list()).toEqual([])
    const preview = previewHistory(studio.workplace, await readHistory(await exported(home), 'h'))
    expect(preview.questions).toMatchObject([
      { name: 'Ana Überall', here: [{ id: other.id, name: 'ana überall' }] },
    ])
  })

  it('are one if so answered, for good; or two', async () => {
    for (const isSame of [true, false]) {
      const [home, studio] = [openComputer(), openComputer()]
      await fillComputer(home)
      const other = await studio.handlers.createArtist({ name: 'Ana Überall', note: '' }, context)
      const artist = home.workplace.catalogue.identities.uuidOf('artists', 1)!
      await bring(home, studio, [{ artist, same: isSame ? other.id : null }])
      const artists = studio.workplace.catalogue.artists.list()
      expect(artists).toHaveLength(isSame ? 1 : 2)
      const [voice] = studio.workplace.catalogue.voices.list()
      expect(voice!.artistId === other.id).toBe(isSame)
      expect(await bring(home, studio)).toMatchObject({ added: [], questions: [], conflicts: [] })
      // The other computer learns it from the answer.
      expect((await bring(studio, home)).questions).toEqual([])
      expect(home.workplace.catalogue.artists.list()).toHaveLength(1)
    }
  })
})

describe('a session', () => {
  async function shared() {
    const [home, studio] = [openComputer(), openComputer()]
    const made = await fillComputer(home)
    await bring(home, studio)
    const [layer] = studio.workplace.catalogue.layers.listOfSession(1)
    return { home, studio, made, layer: layer! }
  }

  it('that was set anew on one computer is as there on the other, with the former settings kept', async () => {
    const { home, studio, layer } = await shared()
    studio.setMinute(15)
    await studio.handlers.updateLayer({ id: layer.id, changes: { gainDb: -4.5, pan: 0.25 } }, context)
    const merged = await bring(studio, home)
    expect(merged).toMatchObject({ changed: [{ kind: 'session' }], conflicts: [] })
    expect(home.workplace.catalogue.layers.listOfSession(1)).toMatchObject([{ gainDb: -4.5, pan: 0.25 }])
    expect(home.workplace.catalogue.identities.keptOf('settings', 1)).toHaveLength(2)
    expect(await bring(home, studio)).toMatchObject({ added: [], changed: [], conflicts: [] })
    expect(await exported(studio)).toEqual(await exported(home))
  })

  it('that was set differently on both stays as it is on each, the other kept whole', async () => {
    const { home, studio, layer } = await shared()
    home.setMinute(14)
    const [ours] = home.workplace.catalogue.layers.listOfSession(1)
    await home.handlers.updateLayer({ id: ours!.id, changes: { gainDb: 2 } }, context)
    studio.setMinute(15)
    await studio.handlers.updateLayer({ id: layer.id, changes: { gainDb: -4.5 } }, context)
    for (const [from, to, gainDb] of [
      [studio, home, 2],
      [home, studio, -4.5],
    ] as const) {
      const merged = await bring(from, to)
      expect(merged.conflicts).toMatchObject([{ conflict: 'settings', kind: 'session' }])
      expect(to.workplace.catalogue.layers.listOfSession(1)).toMatchObject([{ gainDb }])
      expect(await bring(from, to)).toMatchObject({ added: [], changed: [], conflicts: [] })
    }
    expect(await exported(studio)).toEqual(await exported(home))
  })
})
