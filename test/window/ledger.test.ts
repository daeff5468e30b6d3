// The ledger of one artist. Names are not unique, so it filters by id.

import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { newTake, sha256Of } from '../db/entries.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

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

    await page.getByRole('button', { name: 'All artists Artist' }).click()
    await page.getByRole('option', { name: 'Invented Artist' }).first().click()
    await expect.poll(titles).toHaveLength(1)
    expect(['First Song', 'Second Song']).toContain((await titles())[0])
  })
})

describe.skipIf(!haveMaterial(CHROMIUM))('the lines of a session', () => {
  it('include its archives, and lead to the bounce, the take and the book', async () => {
    const { page, workplace, picture, complaints } = await openWindow()
    const { catalogue } = workplace
    const handlers = createHandlers(workplace)
    const { id: artistId } = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
    await handlers.createVoice({ artistId, name: 'rap', note: '' }, context)
    const { id: sessionId } = await handlers.createSession(
      { ...SESSION_FIELDS, artistId, songTitle: 'First Song' },
      context,
    )
    const take = catalogue.takes.insert(newTake('verse 1', { importedAt: workplace.now() }))
    catalogue.takes.linkToSession(sessionId, take.id)
    for (const name of ['one', 'two'])
      catalogue.bounces.insert(
        {
          sessionId,
          manifestPath: `bounces/${name}/manifest.json`,
          manifestSha256: sha256Of(name),
          stems: 1,
        },
        workplace.now(),
      )
    catalogue.archives.insert(
      {
        ...{ act: 'archived', sessionUuid: catalogue.identities.uuidOf('sessions', sessionId)!, artistId },
        ...{ artistName: 'Invented Artist', songTitle: 'First Song', path: '/archives/one', takes: 1 },
      },
      workplace.now(),
    )
    await reloadWindow(page)
    await page.keyboard.press('5')
    const tree = page.getByRole('treegrid', { name: 'History by session' })
    await page.getByRole('searchbox', { name: 'Search the history' }).fill('archived')
    await tree.getByText('First Song').first().waitFor()
    // The list is searched a moment after the last key.
    await expect.poll(() => tree.getByText('Outside of sessions').count()).toBe(0)
    await picture('ledger-archive')

    await page.getByRole('searchbox', { name: 'Search the history' }).fill('bounces/one')
    // Before the tree has drawn what was found, the row of the other bounce is there as well.
    const line = tree.getByRole('row').filter({ hasText: 'bounces/one' })
    await line.getByRole('button', { name: 'Open First Song' }).click()
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.textContent))
      .toMatch(/First Song.*bounces\/one\/manifest\.json/)

    await page.getByRole('searchbox', { name: 'Search the history' }).fill('voice created')
    await tree.getByRole('button', { name: 'Open rap' }).click()
    await page.getByRole('tab', { name: 'Voice’s book', selected: true }).waitFor()
    await page.getByRole('tab', { name: 'Events' }).click()
    await page.getByRole('searchbox', { name: 'Search the history' }).fill('take imported')
    await tree.getByRole('button', { name: 'Open verse 1' }).click()
    await page.getByRole('main', { name: 'Intake' }).waitFor()
    expect(complaints.filter((complaint) => !/status of 422/.test(complaint))).toEqual([])
  })
})

describe.skipIf(!haveMaterial(CHROMIUM))('the folded history', () => {
  it('is one Tab stop whose rows open by arrows, finds lines, and opens the chain of a line', async () => {
    const { page, workplace, complaints } = await openWindow()
    const handlers = createHandlers(workplace)
    const { id: artistId } = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
    const voice = await handlers.createVoice({ artistId, name: 'rap', note: '' }, context)
    const session = await handlers.createSession(
      { ...SESSION_FIELDS, artistId, songTitle: 'First Song' },
      context,
    )
    for (const n of [1, 2, 3]) {
      const take = workplace.catalogue.takes.insert(newTake(`verse ${n}`, { importedAt: workplace.now() }))
      workplace.catalogue.takes.linkToSession(session.id, take.id)
    }
    const { id: chainVersionId } = await handlers.saveChain(
      { voiceId: voice.id, chainId: null, name: 'Rap main', stages: [], note: 'less air' },
      context,
    )
    const [lead] = workplace.catalogue.groups.listOfSession(session.id)
    await handlers.updateGroup({ id: lead!.id, changes: { chainVersionId } }, context)

    await page.keyboard.press('5')
    const tree = page.getByRole('treegrid', { name: 'History by session' })
    const rows = () => tree.getByRole('row').allTextContents()
    await expect.poll(async () => (await rows()).length).toBe(2)
    await page.getByRole('searchbox', { name: 'Search the history' }).focus()
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('ArrowRight')
    await expect.poll(async () => (await rows()).join('\n')).toContain('3 takes imported')
    expect((await rows()).join('\n')).not.toContain('verse 1')
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('Enter')
    await expect.poll(async () => (await rows()).join('\n')).toContain('verse 1')

    await page.getByRole('searchbox', { name: 'Search the history' }).fill('less air')
    await expect.poll(async () => (await rows()).length).toBe(2)
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('Enter')
    await page.getByRole('dialog', { name: 'Rap main, version 1' }).waitFor()
    await page.getByRole('button', { name: 'Open in Chain' }).click()
    await page.getByRole('main', { name: 'Chain' }).waitFor()
    expect(complaints).toEqual([])
  })
})
