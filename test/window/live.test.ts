// While it plays in Chain: the dot on the static curve.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const OPTO = {
  ...defaultStages.opto,
  settings: { ...defaultStages.opto.settings, thresholdDbfs: -30, attackMs: 3 },
}

async function openChain(options = {}) {
  const window = await openWindow('', options)
  const filled = await fillWithChain(window.workplace, [defaultStages.expander, OPTO, defaultStages.ceiling])
  const { page } = window
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await page.getByRole('slider', { name: /^Along the song/ }).waitFor({ timeout: 20_000 })
  await page.getByRole('button', { name: 'Loop' }).click()
  return { ...window, ...filled }
}

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('while it plays', () => {
  it('the dot moves on the static curve of opto and expander, and goes when nothing plays', async () => {
    const { page, complaints } = await openChain()
    const dot = page.locator('.heard-point circle')
    for (const stage of ['Opto', 'Expander']) {
      await page.locator('.stage-name', { hasText: stage }).click()
      expect(await dot.count()).toBe(0)
      await page.getByRole('button', { name: 'Play' }).first().click()
      const places = new Set<string>()
      await expect
        .poll(
          async () => {
            if ((await dot.count()) > 0) places.add((await dot.getAttribute('cx', { timeout: 500 })) ?? '')
            return places.size
          },
          { timeout: 20_000 },
        )
        .toBeGreaterThan(4)
      await page.getByRole('button', { name: 'Stop' }).first().click()
      await expect.poll(() => dot.count()).toBe(0)
    }
    expect(complaints).toEqual([])
  })

  it('nothing moves where less motion is wanted', async () => {
    const { page, complaints } = await openChain({ reducedMotion: 'reduce' })
    await page.locator('.stage-name', { hasText: 'Opto' }).click()
    await page.getByRole('button', { name: 'Play' }).first().click()
    await page.locator('.song-playhead').waitFor()
    for (let look = 0; look < 10; look++) {
      expect(await page.locator('.heard-point').count()).toBe(0)
      await page.waitForTimeout(50)
    }
    expect(complaints).toEqual([])
  })
})
