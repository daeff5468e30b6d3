// In Chain and Mics no text is cut off, no text covers another, and no list leaves the window, at three sizes.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'
import { textFaultsIn } from './text-faults.ts'

const SIZES = [
  { width: 1280, height: 800 },
  { width: 1024, height: 700 },
  { width: 1920, height: 1200 },
]
const PARTS = 'main.place, .popover, [role="dialog"]'

/** Opens every list in turn and looks at it. */
async function faultsOfLists(page: Page, names: readonly (string | RegExp)[]): Promise<string[]> {
  const faults: string[] = []
  for (const name of names) {
    await page.locator('main').getByRole('button', { name }).first().click()
    await page.locator('.popover').waitFor()
    faults.push(...(await textFaultsIn(page, '.popover')).map((fault) => `${name}: ${fault}`))
    await page.keyboard.press('Escape')
    await page.locator('.popover').waitFor({ state: 'detached' })
  }
  return faults
}

async function eachTab(page: Page, look: (tab: string) => Promise<void>): Promise<void> {
  for (const tab of await page.locator('main').getByRole('tab').all()) {
    await tab.click()
    await page.locator('main [role="tabpanel"] svg, main [role="tabpanel"] p').first().waitFor()
    await look((await tab.textContent()) ?? '')
  }
}

describe.skipIf(!haveMaterial(CHROMIUM))('text', () => {
  it('fits in Chain with every stage and in Mics, in both themes', async () => {
    const { page, workplace, complaints } = await openWindow()
    await createHandlers(workplace).buildDemo({}, context)
    await reloadWindow(page)
    const found: Record<string, string[]> = {}
    const look = async (what: string): Promise<void> => {
      const faults = await textFaultsIn(page, PARTS)
      const taller = await page.evaluate(() => document.documentElement.scrollHeight - innerHeight)
      if (taller > 0)
        faults.push(`the page is ${taller} px taller than the window, so focus can scroll it away`)
      if (faults.length > 0) found[what] = faults
    }
    for (const theme of ['light', 'dark']) {
      await page.evaluate((name) => {
        document.documentElement.dataset.theme = name
      }, theme)
      for (const size of theme === 'light' ? SIZES : SIZES.slice(0, 1)) {
        await page.setViewportSize(size)
        const at = `${theme}, ${size.width} px`
        await page.getByRole('button', { name: 'Chain', exact: true }).click()
        const heads = page.locator('.stage-name')
        await heads.first().waitFor()
        await page.locator('.stage-effect', { hasText: 'dB' }).first().waitFor()
        await expect.poll(() => page.locator('[data-stale]').count(), { timeout: 60_000 }).toBe(0)
        for (let index = 0; index < (await heads.count()); index++) {
          await heads.nth(index).click()
          await page.locator('.stage-panel .plot-curve, .stage-panel .stage-note').first().waitFor()
          await look(`${at}, ${await page.locator('.stage-panel h2').textContent()}`)
        }
        const lists = await faultsOfLists(page, ['Add stage', 'More for this chain', /Version/])
        if (lists.length > 0) found[`${at}, lists`] = lists
        await page.getByRole('button', { name: 'More for this chain' }).click()
        await page.getByRole('menuitem', { name: 'Start from this voice' }).click()
        await page.locator('.starting').waitFor()
        await eachTab(page, (tab) => look(`${at}, voice, ${tab}`))
        await page.getByRole('button', { name: 'Back to chain' }).click()
        await page.keyboard.press('2')
        await eachTab(page, (tab) => look(`${at}, Mics, ${tab}`))
      }
    }
    expect(found).toEqual({})
    expect(complaints).toEqual([])
  })
})
