// The book of a voice in the window, with one, five and forty sessions, in both themes.

import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { haveMaterial } from '../require-tool.ts'
import { generateHistory } from '../services/book/generated-history.ts'
import { context, writeTake } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const TIME_LIMIT_MS = 240_000
const HISTORIES = [
  { sessions: 1 },
  { sessions: 5, otherMicFrom: 3 },
  { sessions: 40, otherMicFrom: 17, pitchSemitones: 0.12, brightAt: 30 },
] as const

/** The takes of generated histories have no files, so their waveforms cannot be loaded. */
const isNoMissingFile = (complaint: string): boolean => !/status of 422/.test(complaint)

/** Loads the window again and opens the book. */
async function openBook(page: Page): Promise<void> {
  await reloadWindow(page)
  await page.keyboard.press('5')
  await page.getByRole('tab', { name: 'Voice’s book' }).click()
}

describe.skipIf(!haveMaterial(CHROMIUM))('the book of a voice', () => {
  it.each(HISTORIES)(
    'shows $sessions sessions',
    async (planted) => {
      const { page, workplace, picture, complaints } = await openWindow('', {
        viewport: { width: 1280, height: 1500 },
      })
      await generateHistory(workplace, planted)
      for (const theme of ['light', 'dark']) {
        await page.evaluate((chosen) => localStorage.setItem('takeloft.theme', chosen), theme)
        await openBook(page)
        const columns = page.getByRole('listbox', { name: 'Sessions, oldest first' })
        await expect.poll(() => columns.getByRole('option').count()).toBe(planted.sessions)
        await page.waitForTimeout(500)
        await picture(`book-${planted.sessions}-${theme}`)
      }
      if (planted.sessions === 40) {
        const over = page.getByRole('region', { name: 'Over the sessions' })
        expect(await over.textContent()).toMatch(/Pitch, median rises by 4\.\d/)
        expect(await over.textContent()).not.toMatch(/Air|Low|Harsh/)
      }
      expect(complaints.filter(isNoMissingFile)).toEqual([])
    },
    TIME_LIMIT_MS,
  )

  it(
    'goes from session to session by arrows, leads back to everything, and undoes a pin',
    async () => {
      const { page, workplace, complaints } = await openWindow()
      await generateHistory(workplace, { sessions: 9, brightAt: 7 })
      await openBook(page)
      const selected = page.getByRole('region', { name: 'Selected session' })
      await selected.getByRole('heading', { name: /Invented Song 5/ }).waitFor()
      await page.getByRole('option').last().focus()
      await page.keyboard.press('ArrowLeft')
      await selected.getByRole('heading', { name: /Invented Song 4/ }).waitFor()
      await expect
        .poll(() => selected.textContent())
        .toMatch(/Air is [89]\.\d.dB above the median of 7 earlier/)
      await page.keyboard.press('Home')
      await selected.getByRole('heading', { name: /Invented Song 1/ }).waitFor()

      await page.getByRole('button', { name: 'Show table' }).click()
      const table = page.getByRole('region', { name: 'Figures of all sessions' })
      expect(await table.getByRole('row').count()).toBe(10)
      expect(await table.getByText('(unusual)').count()).toBe(1)

      await page.getByRole('button', { name: 'Pin: Invented Lead, version 2' }).click()
      await page.getByRole('button', { name: 'Pinned: Invented Lead, version 2' }).waitFor()
      await page.keyboard.press('Control+z')
      await page.getByRole('button', { name: 'Pin: Invented Lead, version 2' }).waitFor()

      await page.getByRole('button', { name: 'Invented Lead, version 1', exact: true }).first().click()
      await page.getByRole('dialog', { name: 'Invented Lead, version 1' }).waitFor()
      await page.keyboard.press('Escape')
      const compare = page.getByRole('region', { name: 'Compare versions' })
      await expect.poll(() => compare.textContent()).toMatch(/Tone: .*→/)
      await compare.getByText(/depends on the level: Opto/).waitFor()

      await selected.getByRole('button', { name: 'Open take song 1 lead 2' }).click()
      await page.getByRole('main', { name: 'Intake' }).waitFor()
      await page.keyboard.press('5')
      await page.getByRole('tab', { name: 'Find' }).click()
      await page.getByRole('searchbox', { name: 'Search everything' }).fill('first try')
      await page.getByRole('option', { name: /Invented Lead, version 1/ }).waitFor()
      await page.keyboard.press('ArrowDown')
      await page.keyboard.press('Enter')
      await page.getByRole('dialog', { name: 'Invented Lead, version 1' }).waitFor()
      expect(complaints.filter(isNoMissingFile)).toEqual([])
    },
    TIME_LIMIT_MS,
  )

  it(
    'plays two versions at equal loudness: one 6 dB louder by a trim is lowered by 6 dB',
    async () => {
      const { page, workplace, folder, complaints } = await openWindow()
      const { handlers, voice, chainId, sessionIds } = await generateHistory(workplace, { sessions: 1 })
      const sine = Float64Array.from({ length: 10 * 48_000 }, (_, i) => 0.1 * Math.sin((i * Math.PI) / 24))
      const path = writeTake(join(folder, 'a sine.wav'), [sine])
      const files = [{ path }]
      await handlers.importTakes(
        { sessionId: sessionIds[0]!, files, voiceId: voice.id, micId: null, curveId: null },
        context,
      )
      for (const gainDb of [0, 6]) {
        const { trim } = defaultStages
        const stages = [{ ...trim, on: true, settings: { ...trim.settings, gainDb } }]
        await handlers.saveChain(
          { voiceId: voice.id, chainId, name: 'Invented Lead', stages, note: '' },
          context,
        )
      }
      await openBook(page)
      const compare = page.getByRole('region', { name: 'Compare versions' })
      await compare.getByRole('button', { name: /On the take/ }).click()
      await page.getByRole('option', { name: /a sine/ }).click()
      await compare.getByRole('button', { name: 'Hear Invented Lead 3' }).click()
      await compare
        .getByText(/^At equal loudness: the first as it is, the second lowered 6\.0.dB\.$/)
        .waitFor()
      await compare.getByRole('button', { name: 'Hear Invented Lead 2' }).click()
      expect(complaints.filter(isNoMissingFile)).toEqual([])
    },
    TIME_LIMIT_MS,
  )
})
