// A sound output that goes away while it plays, and a window that nobody sees for an hour.

import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { haveMaterial } from '../../require-tool.ts'
import { writeTake } from '../../services/workshop.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { fillWithChain } from '../chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from '../open-window.ts'
import { record, recorded, tapPage } from './tap.ts'

const FS = 48_000

declare global {
  interface Window {
    sight: {
      isHidden: boolean
      /** Callbacks of frames that wait until the window is seen again. */
      waiting: [number, FrameRequestCallback][]
      drawn: number
    }
  }
}

/** A browser draws no frame of a hidden page, and calls its timers once a second. */
async function hidePagesAsBrowsersDo(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const sight = { isHidden: false, waiting: [] as [number, FrameRequestCallback][], drawn: 0 }
    window.sight = sight
    const { requestAnimationFrame: request, cancelAnimationFrame: cancel, setInterval: every } = window
    let last = 1e6
    window.requestAnimationFrame = (call) => {
      if (sight.isHidden) {
        sight.waiting.push([++last, call])
        return last
      }
      return request((now) => {
        // A frame that was asked for before the page was hidden waits too.
        if (sight.isHidden) sight.waiting.push([0, call])
        else {
          sight.drawn++
          call(now)
        }
      })
    }
    window.cancelAnimationFrame = (id) => {
      sight.waiting = sight.waiting.filter(([one]) => one !== id)
      cancel(id)
    }
    window.setInterval = ((call: () => void, ms: number) => {
      let called = 0
      return every(() => {
        if (sight.isHidden && performance.now() - called < 1000) return
        called = performance.now()
        call()
      }, ms)
    }) as typeof setInterval
    Object.defineProperty(document, 'visibilityState', { get: () => (sight.isHidden ? 'hidden' : 'visible') })
    Object.defineProperty(document, 'hidden', { get: () => sight.isHidden })
  })
}

const HOUR_MS = 3_600_000
/** Hides the window; coming back, the clock says that an hour has passed. */
const setHidden = (page: Page, isHidden: boolean): Promise<void> =>
  page.evaluate(
    ({ hides, hour }) => {
      const { sight } = window
      sight.isHidden = hides
      if (!hides) {
        const now = Date.now.bind(Date)
        Date.now = () => now() + hour
        for (const [, call] of sight.waiting.splice(0)) requestAnimationFrame(call)
      }
      document.dispatchEvent(new Event('visibilitychange'))
    },
    { hides: isHidden, hour: HOUR_MS },
  )

const waiting = (page: Page): Promise<number> => page.evaluate(() => window.sight.waiting.length)

async function openChain(prepare: (page: Page) => Promise<void> = async () => {}) {
  const window = await openWindow('', { bypassCSP: true })
  const { page, workplace } = window
  const noise = whiteNoise(20 * FS, 3, 0.1)
  await fillWithChain(workplace, [defaultStages.opto], writeTake(join(window.folder, 'noise.wav'), [noise]))
  await tapPage(page)
  await prepare(page)
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await page.getByRole('slider', { name: /^Along the song/ }).waitFor({ timeout: 60_000 })
  await page.getByText(/measuring/i).waitFor({ state: 'hidden' })
  await page.getByRole('button', { name: 'Loop' }).click()
  // Exactly, because a notice says that playback stopped.
  const play = page.getByRole('button', { name: 'Play', exact: true })
  const stop = page.getByRole('button', { name: 'Stop', exact: true })
  await play.click()
  await stop.waitFor()
  return { ...window, play, stop }
}

const shortTerm = (page: Page): Promise<string | null> =>
  page.getByRole('group', { name: 'Meter of what is heard' }).locator('.meter-value').nth(1).textContent()

describe.skipIf(!haveMaterial(CHROMIUM))('while it plays', () => {
  it.each([
    ['fails', () => void window.tapped.context?.dispatchEvent(new Event('error'))],
    ['is taken away by the system', () => void window.tapped.context?.suspend()],
    ['is closed', () => void window.tapped.context?.close()],
  ])('an output that %s stops it with a sentence, and Play starts it again', async (_, lose) => {
    const { page, play, stop, complaints } = await openChain()
    await expect.poll(() => page.evaluate(() => window.tapped.context?.state)).toBe('running')
    await page.evaluate(lose)
    await play.waitFor()
    await page.getByText(/The sound output takes no sound any more; connect it again/).waitFor()
    expect(await page.locator('.song-playhead').count()).toBeLessThanOrEqual(1)
    await play.click()
    await stop.waitFor()
    await record(page)
    await page.waitForTimeout(800)
    const { sound } = await recorded(page)
    expect(sound.some(({ left }) => left.some((x) => Math.abs(x) > 1e-4))).toBe(true)
    expect(complaints).toEqual([])
  })

  it('a window that is hidden for an hour draws nothing, piles up nothing, goes on sounding, and is right again', async () => {
    const { page, stop, complaints } = await openChain(hidePagesAsBrowsersDo)
    await expect.poll(() => shortTerm(page), { timeout: 60_000 }).toMatch(/\d/)
    const before = Number((await shortTerm(page))?.replace('\u2212', '-'))
    await setHidden(page, true)
    await page.waitForTimeout(1500)
    await record(page)
    const drawn = await page.evaluate(() => window.sight.drawn)
    const held = await waiting(page)
    const stood = await shortTerm(page)
    await page.waitForTimeout(8000)
    expect(await page.evaluate(() => window.sight.drawn)).toBe(drawn)
    expect(await waiting(page)).toBe(held)
    expect(held).toBeLessThan(12)
    expect(await shortTerm(page)).toBe(stood)
    await setHidden(page, false)
    await page.waitForTimeout(1000)
    const { sound } = await recorded(page)
    // It goes on sounding; a loaded machine may drop a block.
    expect(sound.length).toBeGreaterThan(60)
    const sounding = sound.filter(({ left }) => Math.max(...left.map(Math.abs)) > 1e-4)
    expect(sounding.length).toBeGreaterThan(0.9 * sound.length)
    const now = Number((await shortTerm(page))?.replace('\u2212', '-'))
    expect(Math.abs(now - before)).toBeLessThanOrEqual(0.2)
    const line = () => page.locator('.song-playhead').evaluate((one) => (one as HTMLElement).style.transform)
    const at = await line()
    await expect.poll(line).not.toBe(at)
    await stop.click()
    expect(complaints).toEqual([])
  })
})
