import { expect, it } from 'vitest'
import { context, openWorkshop } from '../workshop.ts'
import { generateHistory } from './generated-history.ts'

it('finds artists, songs, notes, takes, stages and mics, with the way to each', async () => {
  const { workplace } = openWorkshop()
  const { handlers, voice, mics, sessionIds, chainId } = await generateHistory(workplace, { sessions: 5 })
  workplace.catalogue.sessions.update(sessionIds[2]!, { notes: 'Café upstairs, quiet room' })
  workplace.catalogue.mics.update(mics[1]!.id, { note: 'the one with the red cable' })
  const find = async (search: string) =>
    (await handlers.searchEverything({ search, limit: 30 }, context)).map(({ kind, id, excerpt }) => ({
      kind,
      id,
      excerpt,
    }))

  // A note of a session, without accents; its takes have it as well.
  const cafe = await find('cafe')
  expect(cafe[0]).toEqual({ kind: 'session', id: sessionIds[2], excerpt: 'Café upstairs, quiet room' })
  expect(cafe.slice(1).map(({ kind }) => kind)).toEqual(['take', 'take', 'take'])
  // A stage of a chain: opto is on in both versions.
  expect((await find('opto')).map(({ kind }) => kind)).toEqual(['chain-version', 'chain-version'])
  expect(await find('drive')).toEqual([])
  // A note of a chain version, together with the artist.
  expect(await find('invented first try')).toMatchObject(
    [{ kind: 'chain-version', excerpt: /first try/ }].map(({ kind }) => ({ kind })),
  )
  expect((await find('red cable')).map(({ kind, id }) => [kind, id])).toEqual([['mic', mics[1]!.id]])
  expect((await find('singing')).map(({ kind }) => kind)).toContain('voice')
  // The song of a session finds session, bounce and takes.
  const kinds = (await find('song 3')).map(({ kind }) => kind)
  expect(new Set(kinds)).toEqual(new Set(['session', 'bounce', 'take']))
  const [take] = (await handlers.searchEverything({ search: 'lead 3 bright', limit: 30 }, context)).filter(
    ({ kind }) => kind === 'take',
  )
  expect(take).toBeUndefined()
  const [version] = await handlers.searchEverything({ search: 'version 2', limit: 30 }, context)
  expect(version).toMatchObject({ kind: 'chain-version', chainId, number: 2, sessionId: sessionIds[4] })
  expect(await find('…')).toEqual([])
  expect(
    (await handlers.searchEverything({ search: 'invented', limit: 2 }, context)).filter(
      ({ kind }) => kind === 'take',
    ),
  ).toHaveLength(2)
  expect(voice.id).toBeGreaterThan(0)
})
