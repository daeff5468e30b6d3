import { join } from 'node:path'
import { expect, it } from 'vitest'
import { addWhiteNoise } from '../../signals/checking.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const takeFile = (folder: string, name: string, sampleRateHz = 48_000): string =>
  writeTake(join(folder, `${name}.wav`), [addWhiteNoise(new Float64Array(24_000), -30, name.length)], {
    sampleRateHz,
  })

it('finds the takes of all days, or those of one artist, with whom and what they belong to', async () => {
  const { folder, handlers, createSession, takeIn } = openWorkshop()
  const first = await createSession()
  const second = await createSession()
  const voice = await handlers.createVoice({ artistId: second.artistId, name: 'sung', note: '' }, context)
  const [verse] = await takeIn(first, takeFile(folder, 'verse 1'))
  const [hook] = await takeIn(second, takeFile(folder, 'hook 1 loud'))
  await handlers.updateTake({ id: hook.id, changes: { voiceId: voice.id } }, context)

  const find = (search: string, artistId?: number) =>
    handlers.findTakes(
      { search, limit: 10, offset: 0, ...(artistId === undefined ? {} : { artistId }) },
      context,
    )
  expect((await find('')).map(({ name }) => name)).toEqual([hook.name, verse.name])
  expect((await find('ver')).map(({ id }) => id)).toEqual([verse.id])
  // By its session, where no voice says; and by the voice.
  expect((await find('', first.artistId)).map(({ id }) => id)).toEqual([verse.id])
  expect((await find('1', second.artistId)).map(({ id }) => id)).toEqual([hook.id])
  expect(await find('verse', second.artistId)).toEqual([])
  const [found] = await find('hook')
  expect(found).toMatchObject({
    artistName: 'Invented Artist',
    voiceName: 'sung',
    micName: null,
    songTitle: 'Invented Song',
    sessionDate: '2026-10-01',
    sampleRateHz: 48_000,
    channels: 1,
    frames: 24_000,
  })
  expect(found.integratedLufs).toBeCloseTo(hook.facts.integratedLufs!, 9)
})

it('uses a take of an earlier day in a session, and takes it out again while no layer uses it', async () => {
  const { folder, workplace, handlers, createSession, takeIn, place } = openWorkshop()
  const earlier = await createSession()
  const today = await createSession(44_100)
  const [take] = await takeIn(earlier, takeFile(folder, 'verse 1'))
  const takesOf = (sessionId: number) =>
    workplace.catalogue.takes.listOfSession(sessionId).map(({ id }) => id)

  const both = { sessionId: today.id, takeIds: [take.id] }
  expect(await handlers.addTakesToSession(both, context)).toEqual([take])
  await handlers.addTakesToSession(both, context)
  expect([takesOf(earlier.id), takesOf(today.id)]).toEqual([[take.id], [take.id]])

  await place(today, take)
  await expect(handlers.removeTakesFromSession(both, context)).rejects.toMatchObject({ code: 'conflict' })
  expect(takesOf(today.id)).toEqual([take.id])
  const [layer] = workplace.catalogue.layers.listOfSession(today.id)
  await handlers.removeLayer({ id: layer.id }, context)
  await handlers.removeTakesFromSession(both, context)
  expect([takesOf(earlier.id), takesOf(today.id)]).toEqual([[take.id], []])
  expect(workplace.catalogue.takes.get(take.id)).toEqual(take)
})

it('says why a take cannot be used: a rate that cannot be converted to the session’s, no such take', async () => {
  const { folder, handlers, createSession, takeIn } = openWorkshop()
  const earlier = await createSession(44_100)
  const today = await createSession(48_000)
  // 12,348 Hz is 7/25 of 44.1 kHz; to 48 kHz it would need 4000 phases.
  const [take] = await takeIn(earlier, takeFile(folder, 'verse 1', 12_348))
  await expect(
    handlers.addTakesToSession({ sessionId: today.id, takeIds: [take.id] }, context),
  ).rejects.toMatchObject({
    code: 'not-supported',
    message: expect.stringMatching(/verse 1 has a sample rate of 12348 Hz/),
  })
  await expect(
    handlers.addTakesToSession({ sessionId: today.id, takeIds: [99] }, context),
  ).rejects.toMatchObject({ code: 'not-found' })
})
