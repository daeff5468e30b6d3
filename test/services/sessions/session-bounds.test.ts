// A session cannot outgrow what a bounce writes and a verification reads, and its stems cannot
// start on the day before.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { MAX_GROUPS, MAX_LAYERS } from '../../../app/contract/text/limits.ts'
import { planSession, readSessionContents } from '../../../app/services/sessions/plan-session.ts'
import { rawOn } from '../../db/raw-connection.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const noise = (frames: number): Float64Array => whiteNoise(frames, 5, 0.3)

describe('a session', () => {
  it('takes as many layers as a bounce does, and says why no more', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [noise(4800)]))
    for (let k = 0; k < MAX_LAYERS; k++) await shop.place(session, take)
    await expect(shop.place(session, take)).rejects.toMatchObject({
      code: 'conflict',
      message: `The session has ${MAX_LAYERS} layers, and a bounce takes no more; remove one that is not used, or go on in another session.`,
    })
    expect(shop.workplace.catalogue.layers.listOfSession(session.id)).toHaveLength(MAX_LAYERS)
  })

  it('takes as many groups as a bounce does, and says why no more', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const add = (number: number): Promise<unknown> =>
      shop.handlers.createGroup(
        { sessionId: session.id, name: `More ${number}`, chainVersionId: null, gainDb: 0 },
        context,
      )
    for (let k = 3; k < MAX_GROUPS; k++) await add(k)
    await expect(add(MAX_GROUPS)).rejects.toMatchObject({
      code: 'conflict',
      message: `The session has ${MAX_GROUPS} groups, and a bounce takes no more; put the layers into a group that is there, or remove one.`,
    })
  })

  it('of another catalogue that has more is refused whole, unless enough of it is muted', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [noise(4800)]))
    for (let k = 0; k < MAX_LAYERS; k++) await shop.place(session, take)
    // As a program without the limit would have left it.
    const other = rawOn(shop.workplace.catalogue.path)
    other.exec(`
      INSERT INTO layers (uuid, session_id, group_id, take_id, name, role, offset_samples, gain_db, pan, muted, position)
      SELECT uuid7(NULL), session_id, group_id, take_id, name, role, offset_samples, gain_db, pan, muted, position + 1000 FROM layers LIMIT 1`)
    const { catalogue, fitter } = shop.workplace
    const plan = () => planSession(catalogue, fitter, readSessionContents(catalogue, session.id))
    expect(plan).toThrow(
      `Invented Song has ${MAX_LAYERS + 1} layers in 3 groups, and at most ${MAX_LAYERS} in ${MAX_GROUPS} sound together; mute or remove some.`,
    )
    other.exec('UPDATE layers SET muted = 1 WHERE position < 2')
    other.close()
    expect(plan().plan.layers.length).toBeLessThanOrEqual(MAX_LAYERS)
  })

  it('whose stems would start before midnight is refused in a sentence, before anything is written', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const [take] = await shop.takeIn(session, writeTake(join(shop.folder, 'a.wav'), [noise(96_000)]))
    await shop.place(session, take, 'Lead', { offsetSamples: -72_000 })
    await shop.handlers.updateSession({ id: session.id, changes: { startOfDayS: 1 } }, context)
    const bounce = (): Promise<unknown> =>
      shop.handlers.bounceSession(
        { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: false },
        context,
      )
    await expect(bounce()).rejects.toMatchObject({
      code: 'invalid-input',
      message:
        "The stack of Invented Song would start 0.500 s before midnight, which the time stamp of a stem cannot say; set the session's start time that much later, or move the layers.",
    })
    expect(readdirSync(shop.folder)).not.toContain('out')
    await shop.handlers.updateSession({ id: session.id, changes: { startOfDayS: 2 } }, context)
    await bounce()
  })
})
