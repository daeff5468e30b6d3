// Reloading the page in a browser: a running bounce continues, and the page shows its progress and
// result. Also: files are saved as downloads.

import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it, vi } from 'vitest'
import { defaultStages, parseChainDocument } from '../../app/contract/chain-document.ts'
import { PAGE_GONE } from '../../app/contract/wire/background-tasks.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const TAKE_S = 2
const LAYERS = 2

async function fill(workplace: Workplace, folder: string): Promise<void> {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voice = await acts.createVoice({ artistId: artist.id, name: 'Spoken', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  const { takes } = await acts.importTakes(
    {
      sessionId: session.id,
      files: [{ path: writeTake(join(folder, 'lead.wav'), [whiteNoise(48_000 * TAKE_S, 5)]) }],
      voiceId: voice.id,
      micId: null,
      curveId: null,
    },
    context,
  )
  const [lead] = workplace.catalogue.groups.listOfSession(session.id)
  for (let k = 1; k <= LAYERS; k++) {
    await acts.addLayer(
      {
        sessionId: session.id,
        groupId: lead.id,
        takeId: takes[0].id,
        name: `Lead ${k}`,
        role: 'lead',
        offsetSamples: 0,
        gainDb: -24,
        pan: 0,
        muted: false,
      },
      context,
    )
  }
  const version = await acts.saveChain(
    {
      voiceId: voice.id,
      chainId: null,
      name: 'Rap main',
      stages: [defaultStages.trim, defaultStages.opto],
      note: '',
    },
    context,
  )
  await acts.updateGroup({ id: lead.id, changes: { chainVersionId: version.id } }, context)
}

/**
 * Holds every bounce at the start of its first stem until the returned function is called, so that no machine is so
 * quick, or so slow, that the bounce has ended when the page is back. A cancelled bounce goes on at once.
 */
function holdBounces({ pool }: Workplace): () => void {
  const released = Promise.withResolvers<void>()
  const run = pool.run.bind(pool)
  vi.spyOn(pool, 'run').mockImplementation(async (name, input, options) => {
    if (name === 'bounceUnit') {
      options?.signal?.addEventListener('abort', () => released.resolve())
      options?.onProgress?.(0)
      await released.promise
    }
    return run(name, input, options)
  })
  return released.resolve
}

async function beginBounce(page: Page): Promise<void> {
  await page.keyboard.press('3')
  await page.getByRole('button', { name: 'Bounce', exact: true }).click()
  await page.getByRole('dialog').getByRole('button', { name: 'Bounce' }).click()
  await page.getByText('Rendering the stems').waitFor()
}

describe.skipIf(!haveMaterial(CHROMIUM))('a page that is loaded again', () => {
  it('shows the running bounce and its result', async () => {
    const { page, workplace, folder, complaints, picture } = await openWindow()
    await fill(workplace, folder)
    const letGo = holdBounces(workplace)
    await beginBounce(page)
    await reloadWindow(page)
    await page.getByText('Bounce of Invented Song').waitFor()
    await page.getByText('Rendering the stems').waitFor()
    await picture('reload-1-goes-on')
    letGo()
    await page.getByRole('dialog', { name: /^Bounced 1 stem/ }).waitFor({ timeout: 120_000 })
    await picture('reload-2-done')
    const [bounce] = workplace.catalogue.bounces.list()
    expect(existsSync(join(folder, bounce.manifestPath))).toBe(true)
    expect(complaints).toEqual([])
  }, 180_000)

  it('can cancel it', async () => {
    const { page, workplace, folder, complaints } = await openWindow()
    await fill(workplace, folder)
    holdBounces(workplace)
    await beginBounce(page)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Cancel: Bounce of Invented Song' }).click()
    await page.getByText('Bounce of Invented Song').waitFor({ state: 'detached' })
    expect(workplace.catalogue.bounces.list()).toEqual([])
    expect(workplace.backgroundTasks.list()).toEqual([])
    expect(complaints).toEqual([])
  }, 180_000)

  it('shows a bounce that ended while no page was connected', async () => {
    const { page, workplace, folder, complaints } = await openWindow()
    await fill(workplace, folder)
    const letGo = holdBounces(workplace)
    const run = vi.spyOn(workplace.backgroundTasks, 'run')
    await beginBounce(page)
    const address = page.url()
    await page.goto('about:blank')
    // The host hears of it after the browser has left the page; until then the outcome goes to that page.
    await expect.poll(() => run.mock.calls[0]?.[1].signal.reason).toBe(PAGE_GONE)
    letGo()
    await expect
      .poll(() => workplace.backgroundTasks.list(), { timeout: 120_000 })
      .toMatchObject([{ hasEnded: true }])
    await page.goto(address)
    await page.getByRole('dialog', { name: /^Bounced 1 stem/ }).waitFor()
    expect(complaints).toEqual([])
  }, 180_000)
})

describe.skipIf(!haveMaterial(CHROMIUM))('a chain', () => {
  it('is saved as a download in a browser', async () => {
    const { page, workplace, folder, complaints } = await openWindow()
    await fill(workplace, folder)
    await page.keyboard.press('4')
    await page.getByRole('button', { name: /^More/ }).first().click()
    const begun = page.waitForEvent('download')
    await page
      .getByRole('menuitem', { name: /file/i })
      .filter({ hasText: /Save|Export/ })
      .click()
    const download = await begun
    expect(download.suggestedFilename()).toBe('Rap main 1.chain.json')
    const path = join(folder, 'saved.json')
    await download.saveAs(path)
    expect(parseChainDocument(JSON.parse(readFileSync(path, 'utf8')), path).stages).toEqual([
      defaultStages.trim,
      defaultStages.opto,
    ])
    expect(complaints).toEqual([])
  })
})
