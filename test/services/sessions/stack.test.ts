// Groups and layers come back as they were when their removal is undone.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

it('a removed group gives its layers back, and both return to their place', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [whiteNoise(4800, 1, 0.5)]))
  await shop.place(session, take, 'Doubles', { gainDb: -6, pan: 0.4 })
  await shop.place(session, take, 'Doubles', { gainDb: -7, pan: -0.4 })
  const before = await handlers.openSession({ id: session.id }, context)
  const doubles = before.groups[1]

  const removed = await handlers.removeGroup({ id: doubles.id }, context)
  const without = await handlers.openSession({ id: session.id }, context)
  expect(without.groups.map((group) => group.name)).toEqual(['Lead', 'Ad-libs'])
  expect(without.layers).toEqual([])

  await handlers.createGroup(removed.group, context)
  for (const layer of removed.layers) await handlers.addLayer(layer, context)
  const after = await handlers.openSession({ id: session.id }, context)
  expect(after.groups).toEqual(before.groups)
  expect(after.layers).toEqual(before.layers)
})

it('a removed layer comes back between its neighbours', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [whiteNoise(4800, 1, 0.5)]))
  for (const gainDb of [-1, -2, -3]) await shop.place(session, take, 'Doubles', { gainDb })
  const before = await handlers.openSession({ id: session.id }, context)
  const removed = await handlers.removeLayer({ id: before.layers[1].id }, context)
  await handlers.addLayer(removed, context)
  expect((await handlers.openSession({ id: session.id }, context)).layers).toEqual(before.layers)
})
