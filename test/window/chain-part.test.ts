// A long take in Chain: after a change the figures of a part of it are shown and named as such, then those of the whole.

import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../require-tool.ts'
import { writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const SECONDS = 100
/** What is seen of the figures, in the order in which it changes. */
const watch = (page: Page): Promise<void> =>
  page.evaluate(() => {
    const seen: string[] = []
    Object.assign(window, { seen })
    const look = (): void => {
      const words = document.querySelector('.measuring')?.textContent ?? ''
      const stale = document.querySelectorAll('.score [data-stale]').length
      const heading = document.querySelector('.strand-changes th')?.textContent ?? ''
      const now = `${words}|${stale === 0 ? 'new' : 'old'}|${heading}`
      if (seen.at(-1) !== now) seen.push(now)
    }
    look()
    new MutationObserver(look).observe(document.body, {
      subtree: true,
      childList: true,
      characterData: true,
      attributes: true,
    })
  })
const seenBy = (page: Page): Promise<string[]> =>
  page.evaluate(() => (window as unknown as { seen: string[] }).seen)

describe.skipIf(!haveMaterial(CHROMIUM))('the chain of a long take', () => {
  it('after a change shows a part, named by its time, then the whole; a change taken back shows the whole at once', async () => {
    const { page, workplace, complaints } = await openWindow()
    const file = join(mkdtempSync(join(tmpdir(), 'part-')), 'long.wav')
    await fillWithChain(workplace, undefined, writeTake(file, [whiteNoise(SECONDS * 48_000, 1, 0.5)]))
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await page.locator('.stage-effect', { hasText: 'dB' }).first().waitFor()
    const status = page.locator('.measuring')
    await expect.poll(() => status.textContent(), { timeout: 60_000 }).toBe('')

    await watch(page)
    await page.locator('.stage-switch-track').nth(1).click()
    await expect.poll(async () => (await seenBy(page)).at(-1), { timeout: 60_000 }).toBe('|new|On this take')
    const seen = await seenBy(page)
    const part = seen.findIndex((one) =>
      /^from 0:\d\d\.\d to 0:\d\d\.\d only; measuring the whole take…/.test(one),
    )
    expect(seen[part]).toMatch(/\|new\|In a part$/)
    // Before it, the figures of before the change are marked as old; none is ever new without a name.
    expect(seen.slice(0, part).some((one) => /measuring again…\|old/.test(one))).toBe(true)
    expect(seen.slice(1, -1).filter((one) => /^(measuring.*)?\|new/.test(one))).toEqual([])
    expect(await page.locator('.score').getAttribute('data-part')).toBeNull()

    const before = seen.length
    await page.locator('.stage-switch-track').nth(1).click()
    // Old figures until the rest after a change, then those that were measured before.
    await expect.poll(async () => (await seenBy(page)).length).toBeGreaterThan(before)
    await expect.poll(async () => (await seenBy(page)).at(-1), { timeout: 60_000 }).toBe('|new|On this take')
    expect((await seenBy(page)).slice(before).filter((one) => one.startsWith('from'))).toEqual([])
    expect(complaints).toEqual([])
  })
})
