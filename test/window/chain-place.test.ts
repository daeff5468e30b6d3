// The Chain place: where a new stage goes, figures of before a change, the keys of the stage heads, and the
// comparison of one stage.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const titlesOf = (page: Page): Promise<string[]> => page.locator('.stage-title').allTextContents()
const headOf = (page: Page, name: string) => page.locator('.stage-name', { hasText: name })
const isOn = (page: Page, name: string) => page.getByRole('switch', { name: `${name} on` }).isChecked()

async function openChain() {
  const window = await openWindow()
  await fillWithChain(window.workplace)
  const { page } = window
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await measured(page)
  return window
}

/** Waits until the figures are those of the chain that is shown. */
async function measured(page: Page): Promise<void> {
  await page.locator('.stage-effect', { hasText: 'dB' }).first().waitFor()
  await expect.poll(() => page.locator('[data-stale]').count(), { timeout: 20_000 }).toBe(0)
}

async function add(page: Page, name: string): Promise<void> {
  await page.getByRole('button', { name: 'Add stage' }).click()
  await page.getByRole('menuitem', { name }).click()
}

/** Left and top edges of everything in the head and in the line below the river. */
const edgesOf = (page: Page): Promise<number[]> =>
  page
    .locator('.chain-head > :not([role="status"]), .score-foot > :not([role="status"]), .strand-changes th')
    .evaluateAll((all) =>
      all.flatMap((one) => [one.getBoundingClientRect().left, one.getBoundingClientRect().top]),
    )

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('Chain', () => {
  it('puts a new stage where the usual order has it, says where, and shows no other stage’s figures', async () => {
    const { page, complaints } = await openChain()
    await headOf(page, 'Low-cut').click()
    const edges = await edgesOf(page)
    await add(page, 'Ceiling')
    await page.getByText('Added Ceiling after Opto').waitFor()
    expect(await titlesOf(page)).toEqual(['Low-cut', 'Tone', 'Opto', 'Ceiling'])
    // The new stage has no figures before it has been measured, and nothing has moved.
    await page.getByText('measuring again…').waitFor()
    expect(await headOf(page, 'Ceiling').locator('.stage-effect').textContent()).toBe('')
    expect(await page.locator('.joint-line').nth(3).locator('.joint-number').last().textContent()).toBe('—')
    expect(await edgesOf(page)).toEqual(edges)
    await measured(page)
    await expect.poll(() => headOf(page, 'Ceiling').locator('.stage-effect').textContent()).toMatch(/dB$/)

    await add(page, 'Expander')
    expect(await titlesOf(page)).toEqual(['Expander', 'Low-cut', 'Tone', 'Opto', 'Ceiling'])
    // A changed setting dims its own figures and those after it, not those before.
    await measured(page)
    await headOf(page, 'Tone').click()
    await page.getByRole('spinbutton', { name: /^Gain of/ }).fill('-9')
    await page.keyboard.press('Enter')
    await headOf(page, 'Tone').locator('[data-stale]').waitFor()
    expect(await headOf(page, 'Low-cut').locator('[data-stale]').count()).toBe(0)
    await page.getByRole('columnheader', { name: 'Before edit' }).waitFor()
    await measured(page)
    await page.getByRole('columnheader', { name: 'On this take' }).waitFor()
    expect(complaints).toEqual([])
  })

  it('has one Tab stop for the stage heads; arrows select, single keys bypass, move and remove', async () => {
    const { page, complaints } = await openChain()
    await headOf(page, 'Low-cut').focus()
    await page.keyboard.press('ArrowRight')
    const focused = () => page.evaluate(() => document.activeElement?.textContent ?? '')
    expect(await focused()).toMatch(/^Tone.*, stage 2 of 3$/)
    await page.keyboard.press('Tab')
    expect(await page.evaluate(() => document.activeElement?.closest('.stage-heads') ?? null)).toBeNull()
    await page.keyboard.press('Shift+Tab')
    expect(await focused()).toMatch(/^Tone/)

    expect(await isOn(page, 'Tone')).toBe(true)
    await page.keyboard.press('b')
    await expect.poll(() => isOn(page, 'Tone')).toBe(false)
    await page.keyboard.press('Alt+ArrowRight')
    await expect.poll(() => titlesOf(page)).toEqual(['Low-cut', 'Opto', 'Tone'])
    expect(await focused()).toMatch(/^Tone/)
    await page.keyboard.press('Delete')
    await expect.poll(() => titlesOf(page)).toEqual(['Low-cut', 'Opto'])
    expect(await focused()).toMatch(/^Opto/)
    expect(complaints).toEqual([])
  })

  it('ends “Before” with the stage it was chosen for', async () => {
    const { page, complaints } = await openChain()
    const isHeard = (side: string) => page.getByRole('radio', { name: side }).isChecked()
    await headOf(page, 'Tone').click()
    await page.keyboard.press('s')
    await page.getByRole('radio', { name: 'Before' }).click()
    expect(await isHeard('Before')).toBe(true)
    await headOf(page, 'Opto').click()
    await expect.poll(() => isHeard('After')).toBe(true)
    await page.getByRole('radio', { name: 'Before' }).click()
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await expect.poll(() => isHeard('Processed')).toBe(true)
    expect(await page.getByRole('heading', { level: 1 }).textContent()).toBe('Stack')
    expect(complaints).toEqual([])
  })

  it('plays only what a stage changes, at equal loudness, and says by how much it is raised', async () => {
    const { page, complaints, picture } = await openChain()
    await headOf(page, 'Tone').click()
    await page.keyboard.press('s')
    await page.getByText(/^(before|after) lowered|are equally loud/).waitFor()
    await page.keyboard.press('Shift+D')
    expect(await page.getByRole('radio', { name: 'Difference' }).isChecked()).toBe(true)
    await page
      .getByText(/only what differs between before and after at equal loudness, raised \d+\.\d.dB/)
      .waitFor()
    await picture('chain-difference')
    await page.keyboard.press('Shift+D')
    expect(await page.getByRole('radio', { name: 'After' }).isChecked()).toBe(true)
    expect(complaints).toEqual([])
  })

  it('names the marks of tone bands by what they do; N adds one, arrows set it, Delete removes it', async () => {
    const { page, complaints } = await openChain()
    const marks = async (): Promise<string[]> =>
      (await page.locator('.plot-mark-name').allTextContents()).map((name) => name.replaceAll('\u202f', ' '))
    await headOf(page, 'Tone').click()
    await page.locator('.plot-mark').waitFor()
    expect(await marks()).toEqual(['cut 315 Hz'])
    await page.keyboard.press('n')
    // The middle of the widest gap, 315 Hz to 10 kHz, at the nearest preferred frequency.
    await expect.poll(marks).toEqual(['cut 315 Hz', 'flat 1.6 kHz'])
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.getAttribute('aria-label')?.slice(0, 4)))
      .toBe('flat')
    await page.keyboard.press('ArrowUp')
    await page.keyboard.press('ArrowRight')
    await expect.poll(marks).toEqual(['cut 315 Hz', 'boost 2 kHz'])
    await page.keyboard.press('Delete')
    await expect.poll(marks).toEqual(['cut 315 Hz'])
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toMatch(/^cut/)

    // A double-click still adds a band where it is.
    const plot = (await page.locator('.stage-panel .plot svg').boundingBox())!
    await page.mouse.dblclick(plot.x + plot.width * 0.8, plot.y + plot.height * 0.3)
    await expect.poll(async () => (await marks())[1]).toMatch(/^boost .* kHz$/)
    expect(complaints).toEqual([])
  })

  it('shows marks, lines and what is chosen in the colours of a forced palette', async () => {
    const { page, workplace } = await openWindow('', { forcedColors: 'active', colorScheme: 'dark' })
    await fillWithChain(workplace)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await headOf(page, 'Tone').click()
    await page.locator('.plot-mark').waitFor()
    const colours = await page.evaluate(() => {
      const of = (selector: string, name: 'stroke' | 'outlineColor'): string =>
        getComputedStyle(document.querySelector(selector)!)[name]
      const probe = document.body.appendChild(document.createElement('i'))
      const system = (name: string): string => {
        probe.style.color = name
        return getComputedStyle(probe).color
      }
      return {
        curve: [
          of('.stage-panel .plot-curve:not(.plot-curve-part, .voice-before, .voice-after)', 'stroke'),
          system('LinkText'),
        ],
        shape: [of('.plot-mark[data-selected] .band-shape', 'stroke'), system('LinkText')],
        side: [of('.transport-side[aria-checked="true"]', 'outlineColor'), system('Highlight')],
        paper: system('Canvas'),
      }
    })
    for (const [found, wanted] of [colours.curve, colours.shape, colours.side]) {
      expect(found).toBe(wanted)
      expect(found).not.toBe(colours.paper)
    }
  })
})
