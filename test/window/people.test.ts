// People and songs by keyboard and mouse: a second voice without a session, a merge that Undo takes back, and
// a removal that says what depends on the artist.

import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM))('people and songs', () => {
  it('creates, merges, undoes and removes', async () => {
    const { page, workplace, complaints } = await openWindow()
    const { catalogue } = workplace
    const handlers = createHandlers(workplace)
    const [maren, other] = await Promise.all(
      ['Maren Holt', 'Marin Hollt'].map((name) => handlers.createArtist({ name, note: '' }, context)),
    )
    for (const artist of [maren!, other!])
      await handlers.createSession(
        { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Paper Sky' },
        context,
      )
    await page.getByRole('button', { name: 'Paper Sky' }).waitFor()

    await page.keyboard.press('Shift+P')
    const dialog = page.getByRole('dialog', { name: 'People and songs' })
    await page.keyboard.type('hollt')
    await expect.poll(() => dialog.getByRole('option').count()).toBe(1)
    await dialog.getByRole('textbox', { name: 'New voice' }).fill('sung')
    await page.keyboard.press('Enter')
    await expect.poll(() => catalogue.voices.list(other!.id).map(({ name }) => name)).toEqual(['sung'])
    expect(catalogue.sessions.list()).toHaveLength(2)

    await dialog.getByRole('button', { name: 'More for artist Marin Hollt' }).click()
    await page.getByRole('menuitem', { name: 'Remove artist' }).click()
    await expect.poll(() => dialog.getByRole('alert').textContent()).toContain('has 1 voice and 1 song')

    await dialog.getByRole('button', { name: 'More for artist Marin Hollt' }).click()
    await page.getByRole('menuitem', { name: /^Merge/ }).click()
    await page.getByRole('button', { name: /Into artist$/ }).click()
    await page.getByRole('option', { name: 'Maren Holt' }).click()
    await page.getByRole('button', { name: 'Merge into Maren Holt' }).click()
    await expect.poll(() => catalogue.artists.list().map(({ name }) => name)).toEqual(['Maren Holt'])
    // The songs of one title have become one.
    expect(catalogue.songs.list()).toHaveLength(1)

    await dialog.getByRole('button', { name: 'Undo merge Marin Hollt into Maren Holt' }).click()
    await expect.poll(() => catalogue.songs.list()).toHaveLength(2)
    expect(
      catalogue.sessions
        .list()
        .map(({ artistId }) => artistId)
        .sort(),
    ).toEqual([maren!.id, other!.id].sort())
    expect(complaints).toEqual([])
  })

  it('keeps the creation of a session in the history when the session is opened', async () => {
    const { page, workplace } = await openWindow()
    await page.getByRole('button', { name: 'New artist and session' }).click()
    await page.getByRole('textbox', { name: 'Artist name' }).fill('Maren Holt')
    await page.getByRole('textbox', { name: 'Voice' }).fill('rap')
    await page.getByRole('textbox', { name: 'Song' }).fill('Paper Sky')
    await page.getByRole('button', { name: 'Create session' }).click()
    await page.getByRole('button', { name: 'Undo new session Paper Sky' }).click()
    const { catalogue } = workplace
    await expect.poll(() => catalogue.artists.list()).toEqual([])
    expect([catalogue.sessions.list(), catalogue.songs.list(), catalogue.voices.list()]).toEqual([[], [], []])
    await page.getByRole('button', { name: 'Redo new session Paper Sky' }).click()
    await expect
      .poll(() => catalogue.sessions.list().map(({ songTitle }) => songTitle))
      .toEqual(['Paper Sky'])
    expect(catalogue.groups.listOfSession(catalogue.sessions.list()[0]!.id)).toHaveLength(3)
  })
})
