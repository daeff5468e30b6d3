// The whole job by keyboard alone: the keys from an empty catalogue to stems, and where the focus is on the way.

import { copyFileSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

/** In another order than Stack shows; the last name tells no role. */
const NAMES = {
  'Hook dbl.wav': '/usr/share/sounds/alsa/Front_Left.wav',
  'Hook lead.wav': '/usr/share/sounds/alsa/Front_Center.wav',
  'Take 7.wav': '/usr/share/sounds/alsa/Rear_Left.wav',
}
const MOST_KEYS = 70

/** What has the focus, in words. */
const focused = (page: Page): Promise<string> =>
  page.evaluate(() => {
    const at = document.activeElement
    if (at === null || at === document.body) return 'nothing'
    const labels = at instanceof HTMLInputElement ? [...(at.labels ?? [])] : []
    return at.ariaLabel ?? labels[0]?.textContent ?? at.textContent ?? at.tagName
  })

const atFocus = (page: Page, words: RegExp | string) =>
  expect.poll(() => focused(page), { timeout: 15_000 }).toMatch(words)

/** Types as a user does, and counts. */
function keysOf(page: Page) {
  let count = 0
  return {
    count: () => count,
    async press(...keys: string[]): Promise<void> {
      for (const key of keys) {
        count++
        await page.keyboard.press(key)
      }
    },
    async type(text: string): Promise<void> {
      count += text.length
      await page.keyboard.type(text)
    },
  }
}

/** A session with the three takes; two are placed, the double first. */
async function fill(workplace: Workplace): Promise<void> {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', date: '2026-11-25' },
    context,
  )
  const files = Object.values(NAMES).map((path) => ({ path }))
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
    context,
  )
  const [leads, doubles] = workplace.catalogue.groups.listOfSession(session.id)
  for (const [k, name] of Object.keys(NAMES).entries()) {
    const take = workplace.catalogue.takes.update(takes[k].id, { name: name.replace('.wav', '') })
    if (k === 2) continue
    const fields = { sessionId: session.id, groupId: (k === 0 ? doubles : leads).id, takeId: take.id }
    const settings = { role: 'lead', offsetSamples: 0, gainDb: 0, pan: 0, muted: false } as const
    await acts.addLayer({ ...fields, ...settings, name: take.name }, context)
  }
}

describe.skipIf(!haveMaterial(CHROMIUM, ...Object.values(NAMES)))('the job by keyboard', () => {
  it('takes few keys from an empty catalogue to stems', { timeout: 240_000 }, async () => {
    const { page, folder, workplace, complaints } = await openWindow()
    page.setDefaultTimeout(8000)
    const files = Object.entries(NAMES).map(([name, clip]) => {
      copyFileSync(clip, join(folder, name))
      return join(folder, name)
    })
    const keys = keysOf(page)

    await atFocus(page, 'Open a folder of takes')
    await keys.press('Tab')
    await atFocus(page, 'New artist and session')
    await keys.press('Enter')
    await atFocus(page, 'Artist name')
    await keys.type('Ann')
    await keys.press('Tab')
    await keys.type('Rap')
    await keys.press('Tab')
    await keys.type('Song')
    await keys.press('Enter')
    await atFocus(page, 'Import takes')

    const chooser = page.waitForEvent('filechooser')
    await keys.press('Control+i')
    await (await chooser).setFiles(files)
    await page.getByRole('row', { name: /Take 7/ }).waitFor()
    await expect.poll(() => workplace.catalogue.takes.listOfSession(1).length).toBe(3)
    await keys.press('Shift+Enter')
    await atFocus(page, 'Role of Take 7')
    // The first letter of Ad-lib chooses it; Enter then places.
    await keys.press('a', 'Enter')
    await expect.poll(() => workplace.catalogue.layers.listOfSession(1).length).toBe(3)
    // The opener of the dialog has it again.
    await atFocus(page, 'Import takes')

    await keys.press('3')
    await atFocus(page, /^Hook lead$/)
    await keys.press(...Array(6).fill('ArrowRight'))
    await atFocus(page, 'Gain of Hook lead')
    await keys.type('-3')
    await keys.press('Enter', 'ArrowRight')
    await atFocus(page, 'Pan of Hook lead')
    await keys.type('L30')
    await keys.press('Enter')
    await expect
      .poll(() =>
        workplace.catalogue.layers.listOfSession(1).map(({ name, gainDb, pan }) => [name, gainDb, pan]),
      )
      .toContainEqual(['Hook lead', -3, -0.3])

    await keys.press('Escape')
    await atFocus(page, /^Hook lead$/)
    await keys.press('4')
    await atFocus(page, 'Start from the usual order')
    await keys.press('Enter')
    await atFocus(page, /stage 1 of/)
    await keys.press('Control+s')
    await atFocus(page, 'Note')
    await keys.press('Enter')
    await expect.poll(() => workplace.catalogue.groups.listOfSession(1)[0].chainVersionId).not.toBeNull()
    await atFocus(page, /stage 1 of/)

    await keys.press('Control+b')
    await atFocus(page, 'Folder')
    await expect.poll(() => page.getByLabel('Folder').inputValue()).not.toBe('')
    const stems = await page.getByLabel('Folder').inputValue()
    await keys.press('Enter')
    await expect.poll(() => workplace.catalogue.bounces.list({}).length, { timeout: 60_000 }).toBe(1)
    expect(readdirSync(stems).filter((name) => name.endsWith('.wav'))).toHaveLength(3)
    console.info(`${keys.count()} keys`)
    expect(keys.count()).toBeLessThan(MOST_KEYS)
    expect(complaints).toEqual([])
  })

  it('has the focus on the main thing of each place, and never on nothing', {
    timeout: 240_000,
  }, async () => {
    const { page, workplace, complaints } = await openWindow()
    page.setDefaultTimeout(8000)
    await fill(workplace)
    await reloadWindow(page)
    const press = async (...keys: string[]): Promise<void> => {
      for (const key of keys) await page.keyboard.press(key)
    }
    const [double, lead] = Object.keys(NAMES).map((name) => name.replace('.wav', ''))

    await page.getByRole('row', { name: lead }).waitFor()
    await press('1')
    // The number in the first column.
    await atFocus(page, /^1/)
    await press('5')
    await atFocus(page, /^Invented Song/)
    await press('4')
    await atFocus(page, 'Start from the usual order')
    await press('2')
    await atFocus(page, 'New mic')

    // The dialogs of a mic and its curve follow each other, so that the opener of the second is gone.
    await press('Enter')
    await atFocus(page, 'Name')
    await page.keyboard.type('Mic')
    await press('Enter')
    const curve = page.getByRole('dialog', { name: 'Import curve' })
    await curve.waitFor()
    await atFocus(page, /Mic/)
    expect(await curve.evaluate((dialog) => dialog.contains(document.activeElement))).toBe(true)
    await page.getByLabel('Name').fill('On axis')
    await page.getByLabel('Points').fill('20, 0\n1000, 1\n20000, 0')
    await page.getByLabel('Name').press('Enter')
    await curve.waitFor({ state: 'hidden' })
    await page.waitForTimeout(300)
    expect(await focused(page)).not.toBe('nothing')
    await press('2')
    await atFocus(page, 'More for Mic')

    // Rows in the order of the groups, and the groups between them.
    await press('3')
    await atFocus(page, lead)
    expect(await page.locator('.layer-row[tabindex="0"]').getAttribute('aria-label')).toBe(lead)
    const visited: string[] = []
    for (const key of ['ArrowUp', 'ArrowDown', 'ArrowDown', 'ArrowDown', 'ArrowDown', 'ArrowUp']) {
      await press(key)
      visited.push(await focused(page))
    }
    expect(visited).toEqual([
      'Layers of Lead',
      lead,
      'Layers of Doubles',
      double,
      'Solo group Ad-libs',
      double,
    ])

    // A dialog by key; Space types in it, Ctrl with Space stops.
    await press('Space')
    await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
    await press('Control+b')
    await atFocus(page, 'Folder')
    await press('Control+Space')
    await page.getByRole('button', { name: 'Play', exact: true, includeHidden: true }).waitFor()
    await press('Escape')
    await page.getByRole('dialog').waitFor({ state: 'hidden' })
    await atFocus(page, double)
    await press('Shift+N')
    await page.getByRole('dialog', { name: 'New session' }).waitFor()
    await press('Escape')
    await page.getByRole('dialog').waitFor({ state: 'hidden' })
    await atFocus(page, double)

    // A removed layer leaves no gap.
    await press('Delete')
    await expect.poll(() => workplace.catalogue.layers.listOfSession(1).length).toBe(1)
    await atFocus(page, lead)

    // The file dialog from another place.
    const chooser = page.waitForEvent('filechooser')
    await press('Control+i')
    await chooser
    await press('?')
    const help = page.getByRole('dialog', { name: 'Keys' })
    for (const words of ['Import takes', 'New session', 'Place all as guessed', 'Bounce']) {
      await help.getByText(words, { exact: true }).waitFor()
    }
    await help.getByText(/on a button reached by Tab, presses that button/).waitFor()
    await press('Escape')
    const keysNamed = await page
      .locator('.session-new, .batch-bar [aria-keyshortcuts]')
      .evaluateAll((all) => all.map((one) => one.getAttribute('aria-keyshortcuts')))
    expect(keysNamed.sort()).toEqual(['Control+I', 'Shift+Enter', 'Shift+N'])
    expect(complaints).toEqual([])
  })
})
