// Unsaved chains: they survive a reload and leaving the place, can be discarded, and two windows on one
// catalogue never overwrite each other's.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const gainIn = (page: Page) => page.getByRole('spinbutton', { name: /^Gain of/ })
/** Gain of the band in dB, as its field shows it. */
const gainOf = async (page: Page): Promise<number> =>
  Number.parseFloat((await gainIn(page).inputValue()).replace('−', '-'))

/** Chromium runs the timers of a page behind another one once a second. */
const IN_BACKGROUND = { timeout: 10_000 }

/** Opens Chain at its tone stage. */
async function showTone(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await page.locator('.stage-name', { hasText: 'Tone' }).click()
  await gainIn(page).waitFor()
}

async function typeGain(page: Page, gainDb: string): Promise<void> {
  await gainIn(page).fill(gainDb)
  await gainIn(page).press('Enter')
}

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('an unsaved chain', () => {
  it('survives a reload and leaving the place, and is discarded as one step of undo', async () => {
    const { page, workplace, complaints } = await openWindow()
    const { session } = await fillWithChain(workplace)
    const stored = () => workplace.catalogue.chainDrafts.listOfSession(session.id)
    await reloadWindow(page)
    await showTone(page)
    await typeGain(page, '-7')
    await expect.poll(() => stored().length).toBe(1)
    // A question would stop the reload until the test answers it.
    page.on('dialog', (dialog) => {
      complaints.push(dialog.type())
      void dialog.accept()
    })
    await reloadWindow(page)
    await showTone(page)
    await expect.poll(() => gainOf(page)).toBe(-7)
    await page.getByText(/^Draft of \d\d:\d\d$/).waitFor()
    await page.getByText('from version 1').waitFor()

    await page.keyboard.press('1')
    await reloadWindow(page)
    await showTone(page)
    await expect.poll(() => gainOf(page)).toBe(-7)

    await page.getByRole('button', { name: 'Discard' }).click()
    await page.getByText('saved, in use').waitFor()
    expect(await gainOf(page)).toBe(-3)
    await expect.poll(() => stored().length).toBe(0)
    await page.getByRole('button', { name: 'Undo discard the draft' }).click()
    await page.getByText('from version 1').waitFor()
    await expect.poll(() => stored().length).toBe(1)
    expect(complaints).toEqual([])
  })

  it('is never overwritten by another window without a choice, and an older one is not saved unasked', async () => {
    const { page, workplace, complaints } = await openWindow()
    const { session, acts, voice, version } = await fillWithChain(workplace)
    const stored = () => JSON.stringify(workplace.catalogue.chainDrafts.listOfSession(session.id)[0]?.stages)
    await reloadWindow(page)
    await showTone(page)
    const other = await page.context().newPage()
    await other.goto(page.url())
    await showTone(other)

    await typeGain(page, '-5')
    await expect.poll(() => gainOf(other), IN_BACKGROUND).toBe(-5)
    await typeGain(other, '-9')
    await page.getByText(/^Another window changed this draft at/).waitFor()
    expect(await gainOf(page)).toBe(-5)
    await typeGain(page, '-6')
    await page.getByRole('button', { name: 'Compare and choose' }).click()
    await page
      .getByRole('dialog')
      .getByText(/Tone:.*−9\.0/)
      .waitFor()
    expect(stored()).toContain('"gainDb":-9')
    await page.getByRole('button', { name: 'Keep this one' }).click()
    await expect.poll(stored, IN_BACKGROUND).toContain('"gainDb":-6')
    await other.getByRole('button', { name: 'Compare and choose' }).click()
    await other.getByRole('button', { name: 'Use the other one' }).click()
    await expect.poll(() => gainOf(other), IN_BACKGROUND).toBe(-6)

    await acts.saveChain(
      { voiceId: voice.id, chainId: version.chainId, name: 'Spoken', stages: [], note: 'bare' },
      { signal: new AbortController().signal, report: () => {} },
    )
    await page.getByText('from version 1 of 2').waitFor()
    await page.getByRole('button', { name: 'Save', exact: true }).click()
    const dialog = page.getByRole('dialog')
    await dialog.getByText(/Version 2 is newer: saved .*“bare”/).waitFor()
    await dialog.getByRole('button', { name: 'Show the difference from version 2' }).click()
    await dialog.getByText(/Tone was added/).waitFor()
    await dialog.getByRole('button', { name: 'Save as version 3 all the same' }).click()
    await page.getByText('saved, in use').waitFor()
    await other.getByText('saved, in use').waitFor()
    await expect.poll(stored, IN_BACKGROUND).toBeUndefined()
    expect(complaints).toEqual([])
  })
})
