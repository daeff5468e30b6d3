import { describe, expect, it } from 'vitest'
import { sha256Of } from '../../db/entries.ts'
import { context, openWorkshop } from '../workshop.ts'
import { generateHistory, stagesOfVersion } from './generated-history.ts'

const HZ_OF_A = 440

describe('the book of a voice', () => {
  it('has the sessions in the order of their dates, with the way to everything in them', async () => {
    const { workplace } = openWorkshop()
    const { handlers, voice, mics, sessionIds } = await generateHistory(workplace, { sessions: 5 })
    const book = await handlers.readVoiceBook({ voiceId: voice.id }, context)
    expect(book.voice).toMatchObject({ name: 'singing', artistName: 'Invented Artist' })
    expect(book.sessions.map(({ sessionId }) => sessionId)).toEqual(sessionIds)
    const [first] = book.sessions
    expect(first).toMatchObject({
      date: '2023-01-10',
      songTitle: 'Invented Song 1',
      mic: { id: mics[0]!.id, name: 'Invented Flat' },
      isMicTakenOut: true,
      takesLeftOut: 0,
    })
    expect(first!.takes.map(({ name }) => name)).toEqual(['song 1 lead 1', 'song 1 lead 2', 'song 1 lead 3'])
    expect(first!.bounces[0]!.manifestPath).toBe('/invented/song-0/manifest.json')
    expect(first!.chains).toMatchObject([{ chainName: 'Invented Lead', number: 1 }])
    expect(book.sessions[4]!.chains).toMatchObject([{ number: 2 }])
    // 180 Hz over 440 Hz in semitones, within the spread that was planted.
    expect(first!.figures.pitch!.value).toBeCloseTo(12 * Math.log2(180 / HZ_OF_A), 0)
    expect(book.changes).toEqual([])
  })

  it('takes the mics out of the balances where their curves are known', async () => {
    const { workplace } = openWorkshop()
    const { handlers, voice } = await generateHistory(workplace, {
      sessions: 14,
      otherMicFrom: 7,
      spreadDb: 0.2,
    })
    const { sessions, changes } = await handlers.readVoiceBook({ voiceId: voice.id }, context)
    // The second mic is 6 dB brighter: nothing of that is left.
    for (const figure of ['air', 'harsh', 'low', 'sibilance'] as const) {
      const values = sessions.map(({ figures }) => figures[figure]!.value)
      expect(Math.max(...values) - Math.min(...values), figure).toBeLessThan(1.5)
    }
    expect(sessions.flatMap(({ figures }) => Object.values(figures)).filter((one) => one.isUnusual)).toEqual(
      [],
    )
    expect(changes).toEqual([])
  })

  it('compares sessions on mics without curves only with those on the same mic, and says nothing of the swap', async () => {
    const { workplace } = openWorkshop()
    const { handlers, voice } = await generateHistory(workplace, {
      sessions: 14,
      otherMicFrom: 7,
      haveCurves: false,
      spreadDb: 0.2,
    })
    const { sessions, changes } = await handlers.readVoiceBook({ voiceId: voice.id }, context)
    const air = sessions.map(({ figures }) => figures.air!)
    expect(air[8]!.value - air[5]!.value).toBeGreaterThan(4)
    expect(sessions.map(({ isMicTakenOut }) => isMicTakenOut)).not.toContain(true)
    expect(air.map(({ usual }) => usual?.sessions ?? null)).toEqual(
      [0, 1, 2, 3, 4, 5, 6, 0, 1, 2, 3, 4, 5, 6].map((n) => (n < 4 ? null : n)),
    )
    expect(air.some(({ isUnusual }) => isUnusual)).toBe(false)
    expect(changes).toEqual([])
  })

  it('says a planted drift with its size, and marks a session that stands out', async () => {
    const { workplace } = openWorkshop()
    const { handlers, voice } = await generateHistory(workplace, {
      sessions: 12,
      airDb: 1,
      otherMicFrom: 5,
      brightAt: 9,
    })
    const { sessions, changes } = await handlers.readVoiceBook({ voiceId: voice.id }, context)
    expect(changes.map(({ figure }) => figure)).toEqual(['air'])
    const [air] = changes
    // Within the mics: seven sessions on the second, a stretch of six steps.
    if (air?.kind !== 'trend') throw new Error('no trend')
    expect(air.withinMics).toBe(true)
    expect(Math.abs(air.change - 6)).toBeLessThan(1.5)
    expect(sessions.flatMap(({ figures }, at) => (figures.air!.isUnusual ? at : []))).toEqual([9])
  })

  it('draws two newest versions of one number from their common parent, and one that joins them from both', async () => {
    const { workplace, handlers } = openWorkshop()
    const { voice, chainId } = await generateHistory(workplace, { sessions: 1 })
    const [first] = workplace.catalogue.chains.versions(chainId)
    const save = (ids: { editedId: number; mergedId?: number }) =>
      handlers.saveChain(
        { voiceId: voice.id, chainId, name: 'Invented Lead', stages: stagesOfVersion(2), note: '', ...ids },
        context,
      )
    const second = await save({ editedId: first!.id })
    // Another computer's second version, made from the same first one.
    const foreign = { ...second, stages: second.stages, node: sha256Of('another computer') }
    const machine = workplace.catalogue.identities.ownMachines()[0]!
    const otherId = workplace.catalogue.chains.insertForeign({ ...foreign, machine })
    const joined = await save({ editedId: second.id, mergedId: otherId })
    const { versions } = (await handlers.readVoiceBook({ voiceId: voice.id }, context)).chains[0]!
    expect(versions.map(({ id, parentIds, sharesNumber }) => [id, parentIds, sharesNumber])).toEqual([
      [first!.id, [], false],
      [second.id, [first!.id], true],
      [otherId, [first!.id], true],
      [joined.id, [second.id, otherId], false],
    ])
  })

  it('has the versions of the chains with what they were made from, where they are used, and pins', async () => {
    const { workplace } = openWorkshop()
    const { handlers, voice, sessionIds } = await generateHistory(workplace, { sessions: 9 })
    const read = async () => (await handlers.readVoiceBook({ voiceId: voice.id }, context)).chains
    const [chain] = await read()
    expect(chain!.versions.map(({ number }) => number)).toEqual([1, 2, 3])
    const [first, second, third] = chain!.versions
    expect([first!.parentIds, second!.parentIds, third!.parentIds]).toEqual([[], [first!.id], [second!.id]])
    expect(first!.note).toBe('first try')
    expect(first!.uses.map((use) => use.sessionId)).toEqual(sessionIds.slice(0, 4))
    expect(first!.uses[0]).toMatchObject({ groupName: 'Lead', songTitle: 'Invented Song 1' })
    expect(third!.uses).toHaveLength(1)

    await handlers.pinChainVersion({ id: second!.id, isPinned: true }, context)
    await handlers.pinChainVersion({ id: second!.id, isPinned: true }, context)
    expect((await read())[0]!.versions.map(({ isPinned }) => isPinned)).toEqual([false, true, false])
    await handlers.pinChainVersion({ id: second!.id, isPinned: false }, context)
    expect((await read())[0]!.versions.some(({ isPinned }) => isPinned)).toBe(false)
    await expect(handlers.pinChainVersion({ id: 999, isPinned: true }, context)).rejects.toMatchObject({
      code: 'not-found',
    })
  })

  it('of a voice without sessions is empty', async () => {
    const { workplace } = openWorkshop()
    const { handlers, artist } = await generateHistory(workplace, { sessions: 0 })
    const voice = await handlers.createVoice({ artistId: artist.id, name: 'rap', note: '' }, context)
    const book = await handlers.readVoiceBook({ voiceId: voice.id }, context)
    expect([book.sessions, book.changes, book.chains]).toEqual([[], [], []])
    await expect(handlers.readVoiceBook({ voiceId: 999 }, context)).rejects.toMatchObject({
      code: 'not-found',
    })
  })
})
