// Along the song in Chain: a range by hand, by name and by key; the figures above follow, and playback loops it.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const OPTO = {
  ...defaultStages.opto,
  settings: { ...defaultStages.opto.settings, thresholdDbfs: -30, attackMs: 3 },
}

async function openSong(stages = [defaultStages['low-cut'], OPTO, defaultStages.ceiling]) {
  const window = await openWindow()
  const filled = await fillWithChain(window.workplace, stages)
  const { page } = window
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await lanesOf(page).waitFor({ timeout: 20_000 })
  return { ...window, ...filled }
}

const lanesOf = (page: Page) => page.getByRole('slider', { name: /^Along the song/ })
const loudness = (page: Page): Promise<string | null> =>
  page.locator('.joint-line').nth(5).locator('.joint-number').last().textContent()
/** Whether anything is drawn on a canvas. */
const drawn = (page: Page): Promise<boolean[]> =>
  page.locator('.song-picture canvas').evaluateAll((all) =>
    all.map((one) => {
      const canvas = one as unknown as { width: number; height: number; getContext(kind: '2d'): unknown }
      const context = canvas.getContext('2d') as {
        getImageData(...box: number[]): { data: Uint8ClampedArray }
      }
      return context.getImageData(0, 0, canvas.width, canvas.height).data.some((value) => value !== 0)
    }),
  )

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('Along the song', () => {
  it('has a lane for each stage that acts on level, and figures of the range that is dragged', async () => {
    const { page, complaints } = await openSong()
    expect(await lanesOf(page).getAttribute('aria-label')).toBe('Along the song: Opto, Ceiling')
    await expect.poll(() => drawn(page)).toEqual([true, true, false])
    const whole = await loudness(page)
    const box = (await lanesOf(page).boundingBox())!
    await page.mouse.move(box.x + 0.1 * box.width, box.y + 40)
    await page.mouse.down()
    await page.mouse.move(box.x + 0.3 * box.width, box.y + 40, { steps: 4 })
    await page.mouse.up()
    await expect.poll(() => loudness(page)).not.toBe(whole)
    expect(await lanesOf(page).getAttribute('aria-valuetext')).toMatch(/^Range, 0:00\.1 to 0:00\.4/)
    // The range is looped.
    expect(await page.getByRole('button', { name: 'Loop' }).getAttribute('aria-pressed')).toBe('true')
    await page.getByRole('button', { name: 'Keep to compare' }).click()
    await page.getByRole('button', { name: 'Whole take', exact: true }).click()
    await expect.poll(() => loudness(page)).toBe(whole)
    const comparison = page.getByRole('table', { name: /in Range and in Whole take/ })
    expect(
      await comparison.getByRole('row', { name: 'Difference' }).locator('td').first().textContent(),
    ).toMatch(/dB$/)
    await page.getByRole('button', { name: 'End comparison' }).click()
    expect(await comparison.count()).toBe(0)
    expect(complaints).toEqual([])
  })

  it('walks phrases and places by key, and Escape leads back to the whole take', async () => {
    const { page, complaints } = await openSong()
    await lanesOf(page).focus()
    await page.keyboard.press('ArrowRight')
    await expect.poll(() => lanesOf(page).getAttribute('aria-valuetext')).toMatch(/^Phrase 1, /)
    await page.keyboard.press('Shift+ArrowRight')
    await expect.poll(() => lanesOf(page).getAttribute('aria-valuetext')).toMatch(/^Range, /)
    await page.keyboard.press('k')
    await page.getByRole('table', { name: /in Range and in Range/ }).waitFor()
    await page.keyboard.press('Escape')
    await expect.poll(() => lanesOf(page).getAttribute('aria-valuetext')).toBe('Whole take')
    await page.keyboard.press('.')
    await expect.poll(() => lanesOf(page).getAttribute('aria-valuetext')).toMatch(/^Place 1, /)
    await page.getByRole('button', { name: /^More than usual/ }).click()
    const places = page.getByRole('list', { name: 'Places where a stage does more than usual' })
    expect(await places.locator('[aria-current="true"]').textContent()).toMatch(
      /Opto reduces by [\d.]+.dB, usually/,
    )
    await page.getByRole('button', { name: 'Table along the song' }).click()
    await page
      .getByRole('table', { name: /^Along the song/ })
      .getByRole('rowheader', { name: 'Phrase 1' })
      .waitFor()
    expect(complaints).toEqual([])
  })

  it('says that a chain has no stage that acts on level, and can be hidden for good', async () => {
    const { page, complaints } = await openSong([defaultStages['low-cut']])
    expect(await lanesOf(page).getAttribute('aria-label')).toBe('Along the song: no stage here acts on level')
    expect(await page.getByRole('button', { name: 'No unusual places' }).isDisabled()).toBe(true)
    await page.getByRole('button', { name: 'Hide song' }).click()
    await expect.poll(() => lanesOf(page).count()).toBe(0)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Show song' }).click()
    await lanesOf(page).waitFor()
    expect(complaints).toEqual([])
  })

  it('keeps up with a setting that is changed ten times a second while it plays', async () => {
    const { page, complaints } = await openSong()
    const frameOf = () => page.locator('.song-playhead').count()
    await page.getByRole('button', { name: 'Play' }).first().click()
    const before = await drawn(page)
    await page.locator('.stage-name', { hasText: 'Opto' }).click()
    const threshold = page.getByRole('spinbutton', { name: 'Threshold' })
    for (let step = 0; step < 20; step++) {
      await threshold.press('ArrowDown')
      await page.waitForTimeout(100)
    }
    await expect.poll(() => page.locator('.song-picture[data-stale]').count(), { timeout: 20_000 }).toBe(0)
    expect(await drawn(page)).toEqual(before)
    expect(await frameOf()).toBeLessThanOrEqual(1)
    expect(complaints).toEqual([])
  })
})
