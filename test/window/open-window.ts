// The real window: the loopback host with a fresh catalogue, in Chromium.

import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type BrowserContextOptions, chromium, type Page } from 'playwright-core'
import { onTestFinished } from 'vitest'
import { startLoopbackHost } from '../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../app/scripts/build-window.ts'
import { openWorkplace, type Workplace } from '../../app/services/workplace.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'

export const CHROMIUM = '/usr/bin/chromium'
/** Folder for screenshots. */
const PICTURES = join(import.meta.dirname, '../../test-results')

export interface OpenWindow {
  readonly folder: string
  readonly workplace: Workplace
  readonly page: Page
  /** Errors of the page and messages of the host. */
  readonly complaints: string[]
  picture(name: string): Promise<void>
}

/** Waits until the window is drawn: a key that is pressed before that is lost. */
const isDrawn = (page: Page): Promise<void> => page.getByRole('main').waitFor()

/** Loads the window again, as F5 does. */
export async function reloadWindow(page: Page): Promise<void> {
  await page.reload()
  await isDrawn(page)
}

/** @param query added to the address, e.g. 'capture' */
export async function openWindow(query = '', options: BrowserContextOptions = {}): Promise<OpenWindow> {
  await buildWindowIfNeeded(() => {})
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-window-'))
  const workplace = openWorkplace(join(folder, 'catalogue.sqlite'))
  const complaints: string[] = []
  const host = await startLoopbackHost(workplace, { port: 0, log: (message) => complaints.push(message) })
  const browser = await chromium.launch({
    executablePath: CHROMIUM,
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update'],
  })
  onTestFinished(async () => {
    await browser.close()
    await host.close()
    checkTakesUnharmed(workplace.catalogue.path)
    await workplace.close()
    rmSync(folder, { recursive: true, force: true })
  })
  const page = await (
    await browser.newContext({ viewport: { width: 1280, height: 800 }, ...options })
  ).newPage()
  // The browser reports file dialogs only once it is told to, which a quick press after waitForEvent can outrun.
  page.on('filechooser', () => {})
  page.on('pageerror', (error) => complaints.push(error.message))
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text())
  })
  await page.goto(query === '' ? host.address : `${host.address}&${query}`)
  // The address goes on to the window by itself.
  await page.waitForURL((url) => !url.searchParams.has('token'))
  await isDrawn(page)
  if (!existsSync(PICTURES)) mkdirSync(PICTURES)
  return {
    folder,
    workplace,
    page,
    complaints,
    async picture(name) {
      await page.screenshot({ path: join(PICTURES, `${name}.png`) })
    },
  }
}
