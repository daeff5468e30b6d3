// Cancelling an import in the real window: takes that were imported until then stay, and their number is shown.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, type OpenWindow, openWindow } from './open-window.ts'

const FILES = 12

/** The first file is sent, the second never arrives. */
async function importTwo({ page, folder, workplace }: OpenWindow): Promise<() => string[]> {
  const handlers = createHandlers(workplace)
  const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
  await handlers.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  await page.route('**/incoming/second.wav', () => {})
  const paths = ['first', 'second'].map((name, seed) =>
    writeTake(join(folder, `${name}.wav`), [whiteNoise(48_000, seed + 1, 0.3)]),
  )
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Import takes' }).click()
  await (await chooser).setFiles(paths)
  await page.getByText('second.wav').waitFor()
  const sent = () => readdirSync(workplace.folders.incoming)
  expect(sent()).toHaveLength(1)
  return sent
}

describe.skipIf(!haveMaterial(CHROMIUM))('an import that breaks off while files are sent', () => {
  it('leaves none of them behind when it is cancelled', async () => {
    const opened = await openWindow()
    const sent = await importTwo(opened)
    await opened.page.getByRole('button', { name: /^Cancel: Import/ }).click()
    await opened.page.getByText('Cancelled; no take was imported').waitFor()
    expect(sent()).toEqual([])
  })

  it('leaves none of them behind when the page is loaded again, which says what happened', async () => {
    const opened = await openWindow()
    const { page } = opened
    const sent = await importTwo(opened)
    await page.reload()
    await page.getByText('The window was loaded again before all files were sent').waitFor()
    await page.getByText('Import of 2 files did not finish').waitFor()
    expect(sent()).toEqual([])
    // It is said once.
    await page.reload()
    await page.getByRole('button', { name: 'Import takes' }).waitFor()
    expect(await page.getByText('did not finish').count()).toBe(0)
  })
})

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
