// Accessibility rules of axe-core (WCAG 2.2 A and AA and its best practices) over what the window shows, in both
// themes.

import { readFileSync, renameSync } from 'node:fs'
import { createRequire } from 'node:module'
import { resolve } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'
import { VIEWS } from './views.ts'

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const THEMES = ['light', 'dark'] as const
/** The demo is built first, and every view is looked at twice. */
const TIME_LIMIT_MS = 600_000

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
      page.setDefaultTimeout(10_000)
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
        await reloadWindow(page)
        // Not by a script tag, which the window's content security policy refuses.
        await page.evaluate(AXE)
        for (const [name, open] of VIEWS) {
          await open(page).catch((error: Error) => {
            found.push(`${name}, ${theme}, did not open: ${error.message}`)
          })
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
