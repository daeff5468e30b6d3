// Accessibility rules of axe-core (WCAG 2.2 A and AA and its best practices) over what the window shows, in both
// themes. To add a place or a dialog, add one line to VIEWS: its name and how it is opened.

import { readFileSync, renameSync } from 'node:fs'
import { createRequire } from 'node:module'
import { resolve } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context } from '../services/workshop.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const THEMES = ['light', 'dark'] as const
/** The demo is built first, and every view is looked at twice. */
const TIME_LIMIT_MS = 300_000

const press = (name: string | RegExp) => (page: Page) => page.getByRole('button', { name }).first().click()
const inList = (list: RegExp, option: string) => async (page: Page) => {
  await page.getByRole('button', { name: list }).first().click()
  await page.getByRole('option', { name: option }).click()
}
const rows = (page: Page) => page.getByRole('grid', { name: 'Takes' }).getByRole('row')

const goTo = (place: string) => async (page: Page) =>
  page.getByRole('button', { name: place, exact: true }).click()

/** In the session of the demo; a dialog that opens is closed with Escape. */
const VIEWS: readonly (readonly [name: string, open: (page: Page) => Promise<void>])[] = [
  ['Intake', goTo('Intake')],
  ['Intake with a take', (page) => rows(page).nth(1).click()],
  [
    'Intake with several takes',
    (page) =>
      rows(page)
        .nth(2)
        .click({ modifiers: ['Shift'] }),
  ],
  ['Intake with details', press('Details')],
  ['Intake sorted', (page) => page.getByRole('columnheader', { name: /^Length/ }).click()],
  ['earlier takes', press('Earlier takes')],
  ['new voice', inList(/Voice for import$/, 'New voice…')],
  ['new mic', inList(/Mic for import$/, 'New mic…')],
  ['a list', press(/Mic for import$/)],
  ['placing takes', press('Place all as guessed')],
  ['missing takes', press('Find missing takes…')],
  ['Chain', goTo('Chain')],
  ...['Expander', 'Mic correction', 'Low-cut', 'Tone', 'De-ess', 'Drive', 'Opto', 'Ceiling'].map(
    (stage) => [`Chain, ${stage}`, press(new RegExp(`^${stage}.*, stage`))] as const,
  ),
  ['Chain with its table', press('Show table')],
  ['adding a stage', press('Add stage')],
  ['Mics', goTo('Mics')],
  ...['Correction', 'Carry', 'Trace', 'Curves'].map(
    (view) => [`Mics, ${view}`, (page: Page) => page.getByRole('tab', { name: view }).click()] as const,
  ),
]

async function problemsOf(page: Page): Promise<string[]> {
  const { violations } = await page.evaluate(() =>
    (globalThis as unknown as { axe: typeof import('axe-core') }).axe.run(document, {
      resultTypes: ['violations'],
    }),
  )
  return violations.flatMap(({ id, help, nodes }) =>
    nodes.map(({ html, failureSummary }) => `${id}: ${help}\n${html}\n${failureSummary}`),
  )
}

describe.skipIf(!haveMaterial(CHROMIUM))('the window', () => {
  it(
    'has nothing that axe-core finds, in both themes',
    async () => {
      const { page, workplace, folder } = await openWindow()
      const acts = createHandlers(workplace)
      const { sessions } = await acts.buildDemo({}, context)
      // One take whose name tells no role, and that is not placed.
      const [first] = workplace.catalogue.takes.listOfSession(sessions[1])
      await acts.addTakesToSession({ sessionId: sessions[0], takeIds: [first.id] }, context)
      workplace.catalogue.takes.update(first.id, { name: 'take 7' })
      // Its file is missing.
      const file = resolve(folder, first.path)
      renameSync(file, `${file}.moved`)
      const found: string[] = []
      for (const theme of THEMES) {
        await page.evaluate(
          ([chosen, id]) => {
            localStorage.setItem('takeloft.theme', chosen)
            localStorage.setItem('takeloft.session', id)
            localStorage.removeItem('takeloft.takeDetails')
          },
          [theme, String(sessions[0])],
        )
        await page.reload()
        // Not by a script tag, which the window's content security policy refuses.
        await page.evaluate(AXE)
        for (const [name, open] of VIEWS) {
          await open(page)
          // Transitions are over, and lists have been read.
          await page.waitForTimeout(400)
          found.push(...(await problemsOf(page)).map((problem) => `${name}, ${theme}: ${problem}`))
          await page.keyboard.press('Escape')
        }
      }
      expect(found).toEqual([])
    },
    TIME_LIMIT_MS,
  )
})
