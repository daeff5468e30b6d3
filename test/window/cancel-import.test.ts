// An import in the real window: takes appear while others are still being measured; cancelled, those that were
// imported until then stay and their number is shown; undone, they go.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, type OpenWindow, openWindow, reloadWindow } from './open-window.ts'

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
    await reloadWindow(page)
    await page.getByText('The window was loaded again before all files were sent').waitFor()
    await page.getByText('Import of 2 files did not finish').waitFor()
    expect(sent()).toEqual([])
    // It is said once.
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Import takes' }).waitFor()
    expect(await page.getByText('did not finish').count()).toBe(0)
  })
})

/** Imports twelve takes and waits until the first can be seen. */
async function importMany({ page, folder, workplace }: OpenWindow): Promise<() => number> {
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
  await page.getByText('Importing takes').waitFor()
  await page
    .getByRole('row', { name: /take \d+/ })
    .first()
    .waitFor()
  return () => workplace.catalogue.takes.listOfSession(session.id).length
}
const shownTakes = ({ page }: OpenWindow) => page.getByRole('row', { name: /take \d+/ }).count()

describe.skipIf(!haveMaterial(CHROMIUM))('an import', () => {
  it('shows takes as they come, and after a cancel those that stayed, and how many', async () => {
    const opened = await openWindow()
    const { page, complaints, picture } = opened
    const kept = await importMany(opened)
    expect(kept()).toBeLessThan(FILES)
    await page.getByText(/[1-9] of 12: take \d+\.wav/).waitFor()
    await picture('import-1-running')
    await page.getByRole('button', { name: /^Cancel: Import/ }).click()

    const report = page.getByRole('region', { name: 'Import report' })
    await report.getByText(/\d+ of 12 w(as|ere) imported, then you cancelled/).waitFor()
    expect(kept()).toBeLessThan(FILES)
    await report.getByText(new RegExp(`^${kept()} of 12 `)).waitFor()
    await expect.poll(() => shownTakes(opened)).toBe(kept())
    await picture('import-2-cancelled')
    await page.emulateMedia({ colorScheme: 'dark' })
    await picture('import-3-cancelled-dark')
    await report.getByRole('button', { name: 'Close the report' }).click()
    await expect.poll(() => report.count()).toBe(0)

    await page.getByRole('button', { name: 'Undo import of 12 files' }).click()
    await page.getByText('No takes yet').waitFor()
    expect(kept()).toBe(0)
    await page.getByRole('button', { name: 'Redo import of 12 files' }).click()
    await expect.poll(() => shownTakes(opened)).toBeGreaterThan(0)
    expect(complaints).toEqual([])
  })

  it('that is undone while it runs stops, and nothing of it stays in the session', async () => {
    const opened = await openWindow()
    const { page } = opened
    const kept = await importMany(opened)
    await page.keyboard.press('Control+z')
    await page.getByText('No takes yet').waitFor()
    expect(kept()).toBe(0)
    expect(await page.getByRole('button', { name: /^Cancel: Import/ }).count()).toBe(0)
    expect(await page.getByRole('region', { name: 'Import report' }).count()).toBe(0)
  })
})
