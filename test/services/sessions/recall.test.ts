// What an engineer comes back to: earlier sessions of a voice, groups whose stems have names of their own,
// and the levels of a bounce.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, SESSION_FIELDS, writeTake } from '../workshop.ts'

it('lists earlier sessions of a voice that have a chain, newest first', async () => {
  const { handlers, folder, workplace, ...shop } = openWorkshop()
  const first = await shop.createSession()
  const { artistId } = first
  const voice = await handlers.createVoice({ artistId, name: 'rap', note: '' }, context)
  const other = await handlers.createVoice({ artistId, name: 'sung', note: '' }, context)
  const { id: chainVersionId } = await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Rap main', stages: [defaultStages['low-cut']], note: '' },
    context,
  )
  const make = async (n: number, voiceId: number | null, chain: number | null) => {
    const session = await handlers.createSession(
      { ...SESSION_FIELDS, artistId, songTitle: `Song ${n}`, date: `2026-10-0${n}` },
      context,
    )
    const [take] = await shop.takeIn(session, writeTake(join(folder, `${n}.wav`), [whiteNoise(4800, n, 0.5)]))
    await handlers.updateTake({ id: take.id, changes: { voiceId } }, context)
    const [group] = workplace.catalogue.groups.listOfSession(session.id)
    await handlers.updateGroup({ id: group.id, changes: { chainVersionId: chain } }, context)
    return session
  }
  const second = await make(2, voice.id, chainVersionId)
  await make(3, other.id, chainVersionId)
  await make(4, voice.id, null)
  const fifth = await make(5, voice.id, chainVersionId)
  const now = await make(6, voice.id, null)
  await make(7, voice.id, chainVersionId)
  const unnamed = await make(8, null, null)
  const earlier = async (sessionId: number) =>
    (await handlers.listEarlierSessions({ sessionId }, context)).map(({ songTitle }) => songTitle)
  expect(await earlier(now.id)).toEqual(['Song 5', 'Song 2'])
  // No voice named: sessions of the artist.
  expect(await earlier(unnamed.id)).toEqual(['Song 7', 'Song 5', 'Song 3', 'Song 2'])
  expect(await earlier(second.id)).toEqual([])
  expect((await handlers.listSessionChains({}, context)).find((one) => one.sessionId === fifth.id)).toEqual({
    sessionId: fifth.id,
    chainVersionId,
    chainName: 'Rap main',
    number: 1,
  })
})

it('refuses a second group of one name, and offers the next free one', async () => {
  const { handlers, workplace, ...shop } = openWorkshop()
  const session = await shop.createSession()
  const group = { sessionId: session.id, chainVersionId: null, gainDb: 0 }
  await expect(handlers.createGroup({ ...group, name: 'LEAD' }, context)).rejects.toMatchObject({
    code: 'conflict',
    message: expect.stringContaining('such as “LEAD 2”'),
  })
  const [lead, doubles] = workplace.catalogue.groups.listOfSession(session.id)
  await expect(
    handlers.updateGroup({ id: doubles.id, changes: { name: 'lead' } }, context),
  ).rejects.toMatchObject({ code: 'conflict' })
  expect((await handlers.updateGroup({ id: lead.id, changes: { name: 'lead' } }, context)).name).toBe('lead')
})

it('names stems of two groups of one name by the order of the stack, and says so; the bounce has its levels', async () => {
  const { handlers, folder, workplace, ...shop } = openWorkshop()
  const session = await shop.createSession()
  const takes = await shop.takeIn(
    session,
    writeTake(join(folder, 'a.wav'), [whiteNoise(96_000, 1, 0.3)]),
    writeTake(join(folder, 'b.wav'), [whiteNoise(96_000, 2, 0.2)]),
  )
  await shop.place(session, takes[0], 'Lead', { name: '2' })
  await shop.place(session, takes[1], 'Doubles')
  // As a catalogue of an earlier version may have it.
  const doubles = workplace.catalogue.groups.listOfSession(session.id)[1]
  workplace.catalogue.groups.update(doubles.id, { name: 'Lead' })
  const bounce = await handlers.bounceSession(
    { sessionId: session.id, folder: join(folder, 'out'), encoding: 'pcm-24', layerStems: true },
    context,
  )
  const files = bounce.stems.map(({ path }) => path.split('/').at(-1))
  expect(files).toEqual(
    expect.arrayContaining(['InventedSong_Lead_48k24b.wav', 'InventedSong_Lead2_48k24b.wav']),
  )
  expect(bounce.remarks).toContain(
    '2 groups are named “Lead”; their stems, in the order of the stack, are InventedSong_Lead_48k24b.wav and InventedSong_Lead2_48k24b.wav.',
  )
  const [{ id: bounceId }] = await handlers.listBounces({ sessionId: session.id }, context)
  const levels = await handlers.readBounceLevels({ bounceId }, context)
  expect(levels.map(({ integratedLufs }) => integratedLufs)).toEqual(
    bounce.stems.map(({ integratedLufs }) => integratedLufs),
  )
  // The stack of the bounce is that of the session, which has not changed since.
  expect({ ...(await handlers.measureBounce({ bounceId }, context)), missing: [] }).toEqual(
    await handlers.measureStack({ sessionId: session.id }, context),
  )
})
