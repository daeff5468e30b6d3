// Cancelling an import in the real window: takes that were imported until then stay, and their number is shown.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

const FILES = 12

describe.skipIf(!haveMaterial(CHROMIUM))('an import that is cancelled', () => {
  it('shows the takes that were imported until then, and how many', async () => {
    const { page, folder, workplace } = await openWindow()
    const handlers = createHandlers(workplace)
    const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
    const session = await handlers.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
      context,
    )
    const paths = Array.from({ length: FILES }, (_, seed) =>
      writeTake(join(folder, `take ${seed + 1}.wav`), [whiteNoise(15 * 48_000, seed + 1, 0.3)]),
    )
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Import takes' }).click()
    await (await chooser).setFiles(paths)
    await page.getByText(/[1-9] of 12 imported/).waitFor()
    await page.getByRole('button', { name: /^Cancel: Import/ }).click()

    const said = page.getByText(/Cancelled; \d+ of 12 takes? w(as|ere) imported/)
    await said.waitFor()
    const kept = workplace.catalogue.takes.listOfSession(session.id).length
    expect(kept).toBeGreaterThan(0)
    expect(kept).toBeLessThan(FILES)
    expect(await said.textContent()).toMatch(new RegExp(`Cancelled; ${kept} of 12 `))
    await expect.poll(() => page.getByRole('row', { name: /take \d+/ }).count()).toBe(kept)
  })
})
