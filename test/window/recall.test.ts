// Coming back to a voice: one button gives the new session the chains, gains and pans of the last one, one
// undo takes them back; and the recall sheet names each chain once.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM))('a voice that comes back', () => {
  it('gets the sound of its last session, and a recall sheet without doubles', async () => {
    const { page, workplace, folder, complaints } = await openWindow()
    const { catalogue } = workplace
    const handlers = createHandlers(workplace)
    const { id: artistId } = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
    const voice = await handlers.createVoice({ artistId, name: 'rap', note: '' }, context)
    const version = await handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: 'Rap main', stages: [defaultStages.trim], note: '' },
      context,
    )
    const make = async (songTitle: string, date: string, names: string[]) => {
      const session = await handlers.createSession({ ...SESSION_FIELDS, artistId, songTitle, date }, context)
      const files = names.map((name, i) => ({
        path: writeTake(join(folder, `${songTitle} ${name}.wav`), [
          whiteNoise(24_000, i + date.length, 0.2 + i / 10),
        ]),
      }))
      const { takes } = await handlers.importTakes(
        { sessionId: session.id, files, voiceId: voice.id, micId: null, curveId: null },
        context,
      )
      return { session, takes, groups: catalogue.groups.listOfSession(session.id) }
    }
    const layer = { offsetSamples: 0, muted: false, role: 'lead' } as const
    const then = await make('First Song', '2026-10-01', ['lead', 'spare'])
    for (const { id } of then.groups.slice(0, 2))
      await handlers.updateGroup({ id, changes: { chainVersionId: version.id, gainDb: -1.5 } }, context)
    await handlers.addLayer(
      // Half a second: beat 1.75 at 90 BPM, 24 000 samples.
      {
        ...layer,
        sessionId: then.session.id,
        groupId: then.groups[0]!.id,
        takeId: then.takes[0]!.id,
        name: 'lead',
        gainDb: 2,
        pan: -0.3,
        offsetSamples: 24_000,
      },
      context,
    )
    const now = await make('Second Song', '2026-11-01', ['other lead'])
    await handlers.addLayer(
      {
        ...layer,
        sessionId: now.session.id,
        groupId: now.groups[0]!.id,
        takeId: now.takes[0]!.id,
        name: 'lead',
        gainDb: -4,
        pan: 0,
      },
      context,
    )
    await reloadWindow(page)
    await page
      .getByRole('button', { name: /Session$/ })
      .first()
      .click()
    await page.getByRole('option', { name: /Second Song/ }).click()
    await page.keyboard.press('3')
    await page.getByRole('button', { name: 'As on Oct 1, 2026: Rap main, version 1, gains, pans' }).click()
    const dialog = page.getByRole('dialog', { name: 'Sound as in an earlier session' })
    await dialog.getByRole('row', { name: /Gain of lead −4\.0.dB \+2\.0.dB stays as you set it/ }).waitFor()
    const sound = () => [
      ...catalogue.groups.listOfSession(now.session.id).map((one) => [one.chainVersionId, one.gainDb]),
      ...catalogue.layers.listOfSession(now.session.id).map((one) => [one.gainDb, one.pan]),
    ]
    const before = sound()
    await page.keyboard.press('Enter')
    await expect.poll(sound).toEqual([
      [version.id, -1.5],
      [version.id, -1.5],
      [null, 0],
      [-4, -0.3],
    ])
    await page.getByRole('button', { name: 'Undo as on Oct 1, 2026' }).click()
    await expect.poll(sound).toEqual(before)

    await page.keyboard.press('5')
    await page.getByRole('button', { name: 'Recall sheet of First Song' }).click()
    const sheet = page.getByRole('article', { name: 'Recall sheet of First Song' })
    await sheet.getByRole('cell', { name: '1.1.75' }).waitFor()
    for (const cell of ['500.0 ms', '24000']) await sheet.getByRole('cell', { name: cell }).waitFor()
    expect(await sheet.getByRole('heading', { level: 5 }).allTextContents()).toEqual([
      'Lead, Doubles: Rap main, version 1',
      'Ad-libs: no chain',
    ])
    expect(await sheet.getByText('not used').count()).toBe(1)
    await sheet.focus()
    expect(await sheet.evaluate((element) => element === document.activeElement)).toBe(true)
    expect(complaints).toEqual([])
  })
})
