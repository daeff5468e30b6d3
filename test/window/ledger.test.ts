// The ledger of one artist. Names are not unique, so it filters by id.

import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { sha256Of } from '../db/entries.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM))('the ledger of one of two artists with one name', () => {
  it('lists only the bounces of that artist', async () => {
    const { page, workplace } = await openWindow()
    const handlers = createHandlers(workplace)
    for (const songTitle of ['First Song', 'Second Song']) {
      const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
      const session = await handlers.createSession(
        { ...SESSION_FIELDS, artistId: artist.id, songTitle },
        context,
      )
      workplace.catalogue.bounces.insert(
        {
          sessionId: session.id,
          manifestPath: `${songTitle}/manifest.json`,
          manifestSha256: sha256Of(songTitle),
          stems: 1,
        },
        workplace.now(),
      )
    }
    await page.keyboard.press('5')
    const bounces = page.getByRole('region', { name: 'Bounces' })
    const titles = () => bounces.getByRole('heading', { level: 3 }).allTextContents()
    await expect.poll(titles).toEqual(['Second Song', 'First Song'])

    await page.getByRole('button', { name: /Artist$/ }).click()
    await page.getByRole('option', { name: 'Invented Artist' }).first().click()
    await expect.poll(titles).toHaveLength(1)
    expect(['First Song', 'Second Song']).toContain((await titles())[0])
  })
})
