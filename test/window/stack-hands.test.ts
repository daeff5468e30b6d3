// Stack and transport under the hands: Space, rows by keyboard, solo, what was made, and the level.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIPS = ['Front_Center', 'Rear_Left'].map((name) => `/usr/share/sounds/alsa/${name}.wav`)

/** A session with one clip as lead and one as double. */
async function fill(workplace: Workplace): Promise<void> {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', date: '2026-11-25' },
    context,
  )
  const files = CLIPS.map((path) => ({ path }))
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
    context,
  )
  const groups = workplace.catalogue.groups.listOfSession(session.id)
  for (const [k, take] of takes.entries()) {
    const fields = { sessionId: session.id, groupId: groups[k].id, takeId: take.id, name: take.name }
    await acts.addLayer(
      { ...fields, role: 'lead', offsetSamples: 0, gainDb: 0, pan: 0, muted: false },
      context,
    )
  }
}

const isPlaying = (page: Page): Promise<void> =>
  page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
const isStopped = (page: Page): Promise<void> =>
  page.getByRole('button', { name: 'Play', exact: true }).waitFor()

describe.skipIf(!haveMaterial(CHROMIUM, ...CLIPS))('Stack under the hands', () => {
  it('plays and stops with Space, moves by arrows, and shows what was made', {
    timeout: 240_000,
  }, async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await page.locator('.layer-row').first().waitFor()
    // Without a message the meter stands in the middle of its row.
    const middleOf = async (selector: string): Promise<number> => {
      const { y, height } = (await page.locator(selector).boundingBox())!
      return y + height / 2
    }
    expect(Math.abs((await middleOf('.transport .meter')) - (await middleOf('.transport-row')))).toBeLessThan(
      2,
    )
    await page.getByRole('button', { name: 'Loop', exact: true }).click()

    // A clicked button does not keep Space, whatever key follows.
    await page.getByRole('button', { name: 'Play group Lead' }).click()
    await isPlaying(page)
    await page.keyboard.press('d')
    await page.keyboard.press('Space')
    await isStopped(page)
    await page.keyboard.press('Space')
    await isPlaying(page)
    // Neither does a value field after Enter.
    const gain = page.getByRole('spinbutton', { name: 'Gain of group Lead' })
    await gain.fill('-3')
    await gain.press('Enter')
    await page.keyboard.press('Space')
    await isStopped(page)
    expect(await gain.inputValue()).toContain('3.0')
    // In a name, it types.
    const name = page.getByRole('textbox', { name: 'Name of group Lead' })
    await name.fill('Lead')
    await name.press('Space')
    expect(await name.inputValue()).toBe('Lead ')
    await isStopped(page)
    await name.press('Escape')

    // All rows are one Tab stop.
    const rows = page.locator('.layer-row')
    await rows.first().focus()
    await page.keyboard.press('s')
    await page.getByText('Solo: 1 of 2 layers').waitFor()
    // Over the head of the second group.
    await page.keyboard.press('ArrowDown')
    await page.keyboard.press('ArrowDown')
    expect(await rows.nth(1).evaluate((row) => row === document.activeElement)).toBe(true)
    await page.keyboard.press('m')
    await page.getByRole('button', { name: /^Mute Rear/, pressed: true }).waitFor()
    await page.keyboard.press('-')
    await page.keyboard.press('-')
    await expect.poll(() => workplace.catalogue.layers.listOfSession(1)[1].gainDb).toBe(-1)
    await page.keyboard.press('ArrowRight')
    await page.keyboard.press('ArrowRight')
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toMatch(/^Name of/)
    await page.keyboard.press('Escape')
    expect(await rows.nth(1).evaluate((row) => row === document.activeElement)).toBe(true)
    await page.keyboard.press('Tab')
    expect(await page.evaluate(() => document.activeElement?.closest('.layer-row') === null)).toBe(true)
    await page.getByRole('button', { name: 'Clear solo' }).click()

    // A new group is ready to be named.
    for (let k = 0; k < 6; k++) {
      const before = await page.locator('.group-band').count()
      await page.getByRole('button', { name: 'Add group', exact: true }).click()
      await expect.poll(() => page.locator('.group-band').count()).toBe(before + 1)
    }
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.getAttribute('aria-label')))
      .toMatch(/^Name of group Group/)
    const box = await page.locator('.group-name').last().boundingBox()
    const sheet = await page.locator('.sheet').boundingBox()
    expect(box!.y + box!.height).toBeLessThanOrEqual(sheet!.y + sheet!.height)
    await page.keyboard.type('Choir')
    await page.keyboard.press('Enter')
    await page.getByRole('region', { name: 'Group Choir' }).waitFor()

    // The level: out of range is refused, far louder is asked about.
    const level = page.getByRole('spinbutton', { name: 'Listening level' })
    await level.fill('4')
    await level.press('Tab')
    await page.getByText('It stays at −20.0 dB.').waitFor()
    expect(await level.inputValue()).toContain('20.0')
    await level.fill('-3')
    await level.press('Enter')
    await picture('stack-level-asked')
    await page.getByRole('button', { name: /^Keep/ }).click()
    expect(await level.inputValue()).toContain('20.0')
    await level.fill('-15')
    await level.press('Enter')
    expect(await level.inputValue()).toContain('15.0')
    expect(complaints).toEqual([])
  })
})
