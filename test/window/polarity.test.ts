// The polarity of a layer in Stack: by mouse, by key, for several layers at once, each with one undo; and the act of the
// stack's check on a copy with opposite polarity, heard before it is taken.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const NAMES = ['Lead', 'Double', 'Double turned']

describe.skipIf(!haveMaterial(CHROMIUM))('the polarity of layers', () => {
  it('is inverted by button, key and finding, and undone', { timeout: 240_000 }, async () => {
    const { page, workplace, folder, complaints, picture } = await openWindow()
    page.setDefaultTimeout(10_000)
    const acts = createHandlers(workplace)
    const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
    const session = await acts.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
      context,
    )
    const double = whiteNoise(4 * 48_000, 2, 0.2)
    const sounds = [whiteNoise(4 * 48_000, 1, 0.2), double, double.map((x) => -x)]
    const files = sounds.map((samples, k) => ({
      path: writeTake(join(folder, `${NAMES[k]}.wav`), [samples], { encoding: 'float-32' }),
    }))
    const { takes } = await acts.importTakes(
      { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
      context,
    )
    const groups = workplace.catalogue.groups.listOfSession(session.id)
    for (const [k, name] of NAMES.entries()) {
      const { id: takeId } = takes.find((take) => take.name === name)!
      const fields = { sessionId: session.id, groupId: groups[k === 0 ? 0 : 1].id, takeId, name }
      const role = k === 0 ? 'lead' : 'double'
      const gainDb = k === 2 ? -1 : 0
      await acts.addLayer({ ...fields, role, offsetSamples: 0, gainDb, pan: 0, muted: false }, context)
    }
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    const rows = page.locator('.layer-row')
    await rows.nth(2).waitFor()
    const inverted = () =>
      workplace.catalogue.layers.listOfSession(session.id).map((layer) => layer.polarityInverted)
    const undo = () => page.keyboard.press('Control+z')

    // By mouse.
    const button = page.getByRole('button', { name: 'Invert polarity of Double', exact: true })
    await button.click()
    await expect.poll(inverted).toEqual([false, true, false])
    expect(await button.getAttribute('aria-pressed')).toBe('true')
    await page.getByRole('row', { name: 'Double, polarity inverted', exact: true }).waitFor()
    await picture('polarity')
    await undo()
    await expect.poll(inverted).toEqual([false, false, false])

    // By key, for one layer and for two that are chosen.
    await rows.nth(0).focus()
    await page.keyboard.press('p')
    await expect.poll(inverted).toEqual([true, false, false])
    await undo()
    await expect.poll(inverted).toEqual([false, false, false])
    await rows.nth(1).focus()
    await page.keyboard.press('Shift+ArrowDown')
    await page.getByText('2 layers chosen').waitFor()
    await page.keyboard.press('p')
    await expect.poll(inverted).toEqual([false, true, true])
    const ofChosen = page
      .getByRole('region', { name: 'Chosen layers' })
      .getByRole('button', { name: 'Invert polarity' })
    expect(await ofChosen.getAttribute('aria-pressed')).toBe('true')
    await ofChosen.click()
    await expect.poll(inverted).toEqual([false, false, false])
    await undo()
    await undo()
    await expect.poll(inverted).toEqual([false, false, false])
    await page.keyboard.press('Escape')

    // The check names the copy that cancels, and its act is heard before it is taken.
    await page.getByRole('button', { name: 'Check', exact: true }).click()
    await page.locator('.check-state', { hasText: /findings?$/ }).waitFor({ timeout: 60_000 })
    await page.getByRole('button', { name: 'Check as table' }).click()
    const row = page
      .getByRole('table', { name: 'Findings' })
      .getByRole('row')
      .filter({ hasText: 'have the same sound with opposite polarity and cancel' })
    expect(await row.textContent()).toContain('Invert the polarity of Double turned.')
    await row.getByRole('button').click()
    await page.getByRole('button', { name: 'Try', exact: true }).click()
    await page.getByRole('radio', { name: 'With', exact: true }).waitFor()
    expect(inverted()).toEqual([false, false, false])
    await page.getByRole('button', { name: 'End try' }).click()
    await page.getByRole('button', { name: 'Invert its polarity' }).click()
    await expect.poll(inverted).toEqual([false, false, true])
    await undo()
    await expect.poll(inverted).toEqual([false, false, false])

    // The key is on the page of keys.
    await page.keyboard.press('?')
    await page.getByRole('dialog').getByText('Invert the polarity (Ø), or not').waitFor()
    expect(complaints).toEqual([])
  })
})
