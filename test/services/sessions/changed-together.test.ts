// Changes to many takes or layers that are one act: all or none, and undone with the ids from before.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function prepare() {
  const workshop = openWorkshop()
  const session = await workshop.createSession()
  const paths = ['a', 'b'].map((name, seed) =>
    writeTake(join(workshop.folder, `${name}.wav`), [whiteNoise(24_000, seed + 1, 0.3)]),
  )
  return { ...workshop, session, takes: await workshop.takeIn(session, ...paths) }
}
const layer = { role: 'harmony', offsetSamples: 0, gainDb: 0, pan: 0, muted: false } as const

it('adds layers with a new group, removes both, and restores them with their ids', async () => {
  const { handlers, session, takes, workplace } = await prepare()
  const { layers: layerTable, groups: groupTable } = workplace.catalogue
  const added = await handlers.addLayers(
    {
      sessionId: session.id,
      groups: [{ name: 'Harmonies', chainVersionId: null, gainDb: 0 }],
      layers: takes.map(({ id, name }) => ({ ...layer, group: { index: 0 }, takeId: id, name })),
    },
    context,
  )
  expect(groupTable.listOfSession(session.id).map(({ name }) => name)).toEqual([
    'Lead',
    'Doubles',
    'Ad-libs',
    'Harmonies',
  ])
  const before = layerTable.listOfSession(session.id)
  expect(before.map(({ groupId }) => groupId)).toEqual(takes.map(() => added.groups[0].id))
  const ids = { layerIds: added.layers.map(({ id }) => id), groupIds: added.groups.map(({ id }) => id) }
  await handlers.removeLayers(ids, context)
  expect(layerTable.listOfSession(session.id)).toEqual([])
  expect(groupTable.listOfSession(session.id)).toHaveLength(3)
  await handlers.addLayers(
    {
      sessionId: session.id,
      groups: added.groups,
      layers: added.layers.map(({ groupId, ...fields }) => ({ ...fields, group: { id: groupId } })),
    },
    context,
  )
  expect(layerTable.listOfSession(session.id)).toEqual(before)

  // A group that has got another layer stays, with all.
  await handlers.addLayer(
    { ...layer, sessionId: session.id, groupId: ids.groupIds[0], takeId: takes[0].id, name: 'again' },
    context,
  )
  await expect(handlers.removeLayers(ids, context)).rejects.toMatchObject({ code: 'conflict' })
  expect(layerTable.listOfSession(session.id)).toHaveLength(3)
})

it('changes several layers, each by itself, or none of them', async () => {
  const { handlers, session, takes, workplace } = await prepare()
  const { layers } = await handlers.addLayers(
    {
      sessionId: session.id,
      groups: [{ name: 'Harmonies', chainVersionId: null, gainDb: 0 }],
      layers: takes.map(({ id, name }) => ({ ...layer, group: { index: 0 }, takeId: id, name })),
    },
    context,
  )
  const [first, second] = layers
  const stored = () =>
    workplace.catalogue.layers.listOfSession(session.id).map(({ gainDb, pan }) => [gainDb, pan])
  const update = (all: { id: number; changes: { gainDb?: number; pan?: number } }[]) =>
    handlers.updateLayers({ layers: all }, context)
  await update([
    { id: first.id, changes: { gainDb: -3 } },
    { id: second.id, changes: { gainDb: -6, pan: 0.5 } },
  ])
  expect(stored()).toEqual([
    [-3, 0],
    [-6, 0.5],
  ])
  const gone = second.id + 100
  await expect(
    update([
      { id: first.id, changes: { gainDb: 0 } },
      { id: gone, changes: { gainDb: 0 } },
    ]),
  ).rejects.toMatchObject({ code: 'not-found' })
  expect(stored()[0]).toEqual([-3, 0])
})

it('sets fields of several takes or of none, and clears the curve of another mic', async () => {
  const { handlers, takes, workplace } = await prepare()
  const mics = await Promise.all(
    ['one', 'two'].map((name) =>
      handlers.createMic({ name, serial: '', pattern: 'cardioid', note: '' }, context),
    ),
  )
  const curve = await handlers.createCurve(
    {
      micId: mics[0].id,
      name: 'flat',
      source: 'own',
      pattern: 'cardioid',
      distanceM: null,
      note: '',
      points: { frequenciesHz: [100, 1000, 5000], levelsDb: [0, 0, 0] },
      picture: null,
    },
    context,
  )
  const set = (micId: number, curveId?: number | null) =>
    handlers.updateTakes(
      { takes: takes.map(({ id }) => ({ id, micId, ...(curveId === undefined ? {} : { curveId }) })) },
      context,
    )
  const stored = () => takes.map(({ id }) => workplace.catalogue.takes.get(id).curveId)
  await set(mics[0].id, curve.id)
  expect(stored()).toEqual([curve.id, curve.id])
  // A curve of another mic is refused, for all.
  await expect(set(mics[1].id, curve.id)).rejects.toMatchObject({ code: 'conflict' })
  expect(stored()).toEqual([curve.id, curve.id])
  await set(mics[1].id)
  expect(stored()).toEqual([null, null])
})
