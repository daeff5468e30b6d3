// Several layers of Stack chosen and changed together, by keyboard and by mouse, each change with one undo.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIPS = ['Front_Center', 'Rear_Left', 'Side_Left', 'Rear_Right'].map(
  (name) => `/usr/share/sounds/alsa/${name}.wav`,
)

/** A session with one clip as lead, two as doubles and one as ad-lib. */
async function fill(workplace: Workplace): Promise<void> {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', date: '2026-11-28' },
    context,
  )
  const files = CLIPS.map((path) => ({ path }))
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
    context,
  )
  const groups = workplace.catalogue.groups.listOfSession(session.id)
  const places = [
    [0, 'lead', 0, 0],
    [1, 'double', -6, -1],
    [1, 'double', -9, 0.5],
    [2, 'ad-lib', -12, 0],
  ] as const
  for (const [k, [group, role, gainDb, pan]] of places.entries()) {
    const { id: takeId, name } = takes[k]
    const fields = { sessionId: session.id, groupId: groups[group].id, takeId, name, role }
    await acts.addLayer({ ...fields, offsetSamples: 0, gainDb, pan, muted: false }, context)
  }
}

const chosenCount = (page: Page) => page.locator('.layer-row[aria-selected="true"]').count()

describe.skipIf(!haveMaterial(CHROMIUM, ...CLIPS))('layers changed together', () => {
  it('are chosen by keys and clicks, and each change is one step of undo', { timeout: 240_000 }, async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    page.setDefaultTimeout(10_000)
    await fill(workplace)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    const rows = page.locator('.layer-row')
    await rows.nth(3).waitFor()
    const of = (field: 'gainDb' | 'pan' | 'muted' | 'groupId' | 'offsetSamples') => () =>
      workplace.catalogue.layers.listOfSession(1).map((layer) => layer[field])
    const undo = () => page.keyboard.press('Control+z')

    // By keyboard: from the second row to the fourth, over the head of a group.
    await rows.nth(1).focus()
    await page.keyboard.press('Shift+ArrowDown')
    await page.keyboard.press('Shift+ArrowDown')
    await page.getByText('3 layers chosen').waitFor()
    await page.keyboard.press('+')
    await page.keyboard.press('+')
    await expect.poll(of('gainDb')).toEqual([0, -5, -8, -11])
    await page.keyboard.press('m')
    await expect.poll(of('muted')).toEqual([false, true, true, true])
    await page.keyboard.press('s')
    await page.getByText('Solo: 3 of 4 layers').waitFor()
    await picture('stack-together-light')
    await page.keyboard.press('s')
    await undo()
    await expect.poll(of('muted')).toEqual([false, false, false, false])
    // Both steps of the key were one gesture.
    await undo()
    await expect.poll(of('gainDb')).toEqual([0, -6, -9, -12])
    // Not in a row: another one with Ctrl and x.
    await page.keyboard.press('Escape')
    expect(await chosenCount(page)).toBe(0)
    await rows.nth(0).focus()
    await page.keyboard.press('x')
    await page.keyboard.press('Control+ArrowDown')
    await page.keyboard.press('Control+ArrowDown')
    await page.keyboard.press('x')
    await page.getByText('2 layers chosen').waitFor()
    expect(await rows.nth(1).getAttribute('aria-selected')).toBe('false')
    // An arrow alone chooses none.
    await page.keyboard.press('ArrowUp')
    await expect.poll(() => chosenCount(page)).toBe(0)

    // By mouse: the waves of two layers, and the name of a third.
    await page.locator('.layer-wave').nth(1).click()
    await page
      .locator('.layer-wave')
      .nth(2)
      .click({ modifiers: ['Control'] })
    await page.getByRole('textbox', { name: /^Name of Rear_Right/ }).click({ modifiers: ['Control'] })
    await page.getByText('3 layers chosen').waitFor()
    const bar = page.getByRole('region', { name: 'Chosen layers' })
    const gain = bar.getByRole('spinbutton', { name: 'Change gain by' })
    await gain.fill('-1.5 dB')
    await gain.press('Enter')
    await expect.poll(of('gainDb')).toEqual([0, -7.5, -10.5, -13.5])
    const pan = bar.getByRole('spinbutton', { name: 'Pan' })
    expect(await pan.inputValue()).toBe('')
    await pan.fill('R 30')
    await pan.press('Enter')
    await expect.poll(of('pan')).toEqual([0, 0.3, 0.3, 0.3])
    await bar.getByRole('button', { name: 'Mute', exact: true }).click()
    await expect.poll(of('muted')).toEqual([false, true, true, true])
    await bar.getByRole('button', { name: /Group/ }).click()
    await page.getByRole('option', { name: 'Lead', exact: true }).click()
    await expect.poll(() => new Set(of('groupId')()).size).toBe(1)
    await undo()
    await expect.poll(() => new Set(of('groupId')()).size).toBe(3)
    await undo()
    await expect.poll(of('muted')).toEqual([false, false, false, false])
    await undo()
    await expect.poll(of('pan')).toEqual([0, -1, 0.5, 0])

    // A field of a chosen row moves them all: no farther than the one at the left side can.
    const rowPan = page.getByRole('spinbutton', { name: /^Pan of Rear_Right/ })
    await rowPan.fill('L 40')
    await rowPan.press('Enter')
    await expect.poll(() => page.getByRole('button', { name: /^Undo/ }).isEnabled()).toBe(true)
    expect(of('pan')()).toEqual([0, -1, 0.5, 0])
    await rowPan.fill('R 30')
    await rowPan.press('Enter')
    await expect.poll(of('pan')).toEqual([0, -0.7, 0.8, 0.3])
    await undo()
    // A drag moves them all by the same time.
    const box = (await page.locator('.layer-wave').nth(2).boundingBox())!
    await page.mouse.move(box.x + 40, box.y + 20)
    await page.mouse.down()
    await page.mouse.move(box.x + 60, box.y + 20, { steps: 4 })
    await page.mouse.up()
    await expect.poll(() => of('offsetSamples')()[2]).toBeGreaterThan(0)
    const [lead, ...others] = of('offsetSamples')()
    expect(lead).toBe(0)
    expect(new Set(others).size).toBe(1)
    await page.getByText('3 layers chosen').waitFor()
    await undo()
    await expect.poll(of('offsetSamples')).toEqual([0, 0, 0, 0])

    // Removed and brought back as one.
    await bar.getByRole('button', { name: 'Remove' }).click()
    await expect.poll(() => of('gainDb')().length).toBe(1)
    await undo()
    await expect.poll(of('gainDb')).toEqual([0, -7.5, -10.5, -13.5])

    await page.evaluate(() => localStorage.setItem('takeloft.theme', 'dark'))
    await reloadWindow(page)
    await rows.nth(1).waitFor()
    await page.getByRole('button', { name: 'More for group Doubles' }).click()
    await page.getByRole('menuitem', { name: 'Choose its 2 layers' }).click()
    await page.getByText('2 layers chosen').waitFor()
    await picture('stack-together-dark')
    expect(complaints).toEqual([])
  })
})
