// Returning after a long time: find a session among many by typing; find an earlier take, play it,
// add it to the session and undo that.

import type { Locator, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIPS = ['Front_Center', 'Rear_Left'].map((name) => `/usr/share/sounds/alsa/${name}.wav`)
const SESSIONS = 24

/** One artist with a song per session, and another artist with two takes. */
async function fill(workplace: Workplace) {
  const acts = createHandlers(workplace)
  const [artist, other] = await Promise.all(
    ['Maren Oru', 'Tolvi Sae'].map((name) => acts.createArtist({ name, note: '' }, context)),
  )
  const makeSession = (artistId: number, songTitle: string, day: number) =>
    acts.createSession(
      {
        ...SESSION_FIELDS,
        artistId,
        songTitle,
        date: `2026-03-${String(day).padStart(2, '0')}`,
      },
      context,
    )
  const earlier = await makeSession(other.id, 'Rain Ledger', 1)
  await acts.importTakes(
    {
      sessionId: earlier.id,
      files: CLIPS.map((path) => ({ path })),
      voiceId: null,
      micId: null,
      curveId: null,
    },
    context,
  )
  for (let n = 1; n <= SESSIONS; n++) await makeSession(artist.id, `Invented Song ${n}`, n)
}

async function openChooser(page: Page): Promise<Locator> {
  const chooser = page.getByRole('button', { name: /Session$/ }).first()
  await chooser.click()
  await page.getByRole('option').first().waitFor()
  return chooser
}

async function chooseSession(page: Page, words: string): Promise<void> {
  await openChooser(page)
  await page.keyboard.type(words)
  await expect.poll(() => page.getByRole('option').count()).toBe(1)
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('Enter')
}

describe.skipIf(!haveMaterial(CHROMIUM, ...CLIPS))('returning after a long time', () => {
  it('finds a session by song, artist and date', async () => {
    const { page, workplace, complaints } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    const chooser = await openChooser(page)
    await page.keyboard.type('maren mar 7')
    await expect
      .poll(() => page.getByRole('option').allTextContents())
      .toEqual([expect.stringContaining('Invented Song 7')])
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('Enter')
    await expect.poll(() => chooser.textContent()).toContain('Invented Song 7')
    await page.getByText('No takes yet').waitFor()
    expect(complaints).toEqual([])
  })

  it('finds, plays and adds an earlier take, and undoes that', async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    const sessionTakes = () =>
      workplace.catalogue.sessions
        .list()
        .filter(({ artistName }) => artistName === 'Maren Oru')
        .flatMap(({ id }) => workplace.catalogue.takes.listOfSession(id).map(({ name }) => name))

    await chooseSession(page, 'maren 24')
    await page.getByText('No takes yet').waitFor()
    await page.getByRole('button', { name: 'Earlier takes' }).click()
    const dialog = page.getByRole('dialog')
    // The artist of the session has no takes yet.
    await dialog.getByText('No matches').waitFor()
    await dialog.getByRole('button', { name: /Artist$/ }).click()
    await page.getByRole('option', { name: 'All artists' }).click()
    await expect.poll(() => dialog.getByRole('row').count()).toBe(2)

    const search = dialog.getByRole('searchbox')
    await search.fill('rear')
    await expect
      .poll(() => dialog.getByRole('row').allTextContents())
      .toEqual([expect.stringMatching(/Rear_Left.*Rain Ledger.*Mar 1, 2026.*Tolvi Sae.*48.kHz.*LUFS/)])
    await dialog.getByRole('button', { name: 'Play Rear_Left' }).click()
    await dialog.getByRole('button', { name: 'Stop Rear_Left' }).waitFor()
    await dialog.getByRole('button', { name: 'Stop Rear_Left' }).click()
    await dialog.getByRole('button', { name: 'Play Rear_Left' }).waitFor()
    await picture('earlier-1-found')

    await search.focus()
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('Enter')
    await dialog.getByText('in this session').waitFor()
    expect(sessionTakes()).toEqual(['Rear_Left'])
    await page.keyboard.press('Escape')
    await expect.poll(() => page.getByRole('dialog').count()).toBe(0)
    // The focus is back on the button, and the take can be placed.
    await expect.poll(() => page.evaluate(() => document.activeElement?.textContent)).toBe('Earlier takes')
    await page.getByRole('heading', { name: 'Rear_Left' }).waitFor()
    await picture('earlier-2-used')

    await page.getByRole('button', { name: 'Undo add take Rear_Left' }).click()
    await page.getByText('No takes yet').waitFor()
    expect(sessionTakes()).toEqual([])
    expect(workplace.catalogue.foundTakes.list({ search: '', limit: 9, offset: 0 })).toHaveLength(2)
    expect(complaints).toEqual([])
  })

  it('removes a take, moves the focus to its neighbour, and restores it', async () => {
    const { page, workplace, complaints } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    const sessionTakes = () =>
      workplace.catalogue.takes
        .listOfSession(1)
        .map(({ name }) => name)
        .sort()

    await chooseSession(page, 'rain ledger')
    await page.getByRole('row', { name: /Rear_Left/ }).click()
    await page.getByRole('button', { name: 'Remove from session' }).click()
    await expect.poll(sessionTakes).toEqual(['Front_Center'])
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.closest('[role="row"]')?.textContent))
      .toContain('Front_Center')
    await page.keyboard.press('Control+z')
    await expect.poll(sessionTakes).toEqual(['Front_Center', 'Rear_Left'])
    expect(complaints).toEqual([])
  })
})
