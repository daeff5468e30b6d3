// While it plays in Chain: the dot on the static curve, and figures that agree with what is bounced, as ffmpeg reads it.

import { spawnSync } from 'node:child_process'
import { mkdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { hasTool, haveMaterial } from '../require-tool.ts'
import { context, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
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

const FS = 48_000
const ROW = 1024
const SECONDS = 8
/** Steps of level that an opto follows with time. */
const steps = whiteNoise(SECONDS * FS, 5, 1).map(
  (x, i) => x * [0.3, 0.03, 0.15, 0.6, 0.06][Math.floor(i / (0.7 * FS)) % 5],
)

/** What the window shows in one of its frames. */
interface Shown {
  readonly seconds: number
  readonly in: string
  readonly out: string
  readonly reduction: string
}

/** Short-term loudness at every 100 ms of a file, and its true peak, as ffmpeg's ebur128 prints them. */
function byFfmpeg(path: string) {
  const { stderr } = spawnSync(
    'ffmpeg',
    ['-hide_banner', '-i', path, '-af', 'ebur128=framelog=info:peak=true', '-f', 'null', '-'],
    { encoding: 'utf8' },
  )
  const shortTerm = new Map<number, number>()
  for (const [, t, s] of stderr.matchAll(/ t: ([\d.]+) +TARGET.* S: *(-?[\d.]+|nan)/g))
    shortTerm.set(Math.round(10 * Number(t)), Number(s))
  const peaks = [...stderr.matchAll(/Peak: +(-?[\d.]+) dBFS/g)].map(([, peak]) => Number(peak))
  return { shortTerm, truePeakDb: Math.max(...peaks) }
}

/** The first channel of a file, as ffmpeg decodes it. */
function samplesOf(path: string): Float32Array {
  const { stdout } = spawnSync('ffmpeg', ['-v', 'error', '-i', path, '-f', 'f32le', '-ac', '1', '-'], {
    maxBuffer: 64 * 1024 * 1024,
  })
  return new Float32Array(stdout.buffer, stdout.byteOffset, stdout.byteLength / 4)
}

const numberIn = (text: string): number => Number(text.replace('\u2212', '-'))

describe.skipIf(!haveMaterial(CHROMIUM) || !hasTool('ffmpeg'))('what is shown while it plays', () => {
  it('agrees with the bounce of the same place', async () => {
    const window = await openWindow()
    const { page, workplace, complaints } = window
    const path = join(window.folder, 'steps.wav')
    mkdirSync(dirname(path), { recursive: true })
    writeTake(path, [steps])
    const opto = { ...OPTO, settings: { ...OPTO.settings, thresholdDbfs: -24, attackMs: 30 } }
    const { acts, session } = await fillWithChain(workplace, [opto], path)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    const lanes = page.getByRole('slider', { name: /^Along the song/ })
    await lanes.waitFor({ timeout: 20_000 })
    await page.waitForTimeout(500)
    await page.evaluate((seconds) => {
      const all: Shown[] = []
      Object.assign(globalThis, { shown: all })
      const { document, requestAnimationFrame } = globalThis as unknown as {
        document: {
          querySelector(
            selector: string,
          ): { textContent: string; style: { transform: string }; clientWidth: number } | null
        }
        requestAnimationFrame(call: () => void): void
      }
      const look = (): void => {
        requestAnimationFrame(look)
        const text = document.querySelector('.song-loudness')?.textContent ?? ''
        const x = /translateX\(([\d.]+)px/.exec(
          document.querySelector('.song-playhead')?.style.transform ?? '',
        )
        const found = /^S in (.*)S out (.*)$/.exec(text)
        const width = document.querySelector('.song-lanes')?.clientWidth ?? 1
        if (found === null || x === null) return
        const reduction =
          document.querySelector('.song-figures .song-name:not(.song-loudness)')?.textContent ?? ''
        all.push({
          seconds: (Number(x[1]) / width) * seconds,
          in: found[1],
          out: found[2],
          reduction: reduction.split(' / ')[0],
        })
      }
      requestAnimationFrame(look)
    }, SECONDS)
    await page.getByRole('button', { name: 'Play' }).first().click()
    await expect
      .poll(
        () => page.evaluate(() => (globalThis as unknown as { shown: Shown[] }).shown.at(-1)?.seconds ?? 0),
        { timeout: 30_000 },
      )
      .toBeGreaterThan(SECONDS - 0.2)
    const shown = await page.evaluate(() => (globalThis as unknown as { shown: Shown[] }).shown)
    const peakShown = numberIn(
      (await page.locator('.meter-highest').textContent())?.match(/[\u2212\d.]+/)?.[0] ?? '',
    )
    const outcome = await acts.bounceSession(
      {
        sessionId: session.id,
        folder: join(window.folder, 'bounces'),
        encoding: 'pcm-24',
        layerStems: false,
      },
      context,
    )
    const stem = outcome.stems[0].path
    const bounced = byFfmpeg(stem)
    const taken = byFfmpeg(path)

    // ffmpeg gives a figure every tenth of a second. What is drawn lies between its figures before, at and after the
    // place; both are rounded to tenths. A text may be a frame older than the playhead on a loaded machine.
    const loud = shown.filter(({ out }) => out !== '—')
    expect(loud.length).toBeGreaterThan(60)
    for (const [key, of] of [
      ['out', bounced],
      ['in', taken],
    ] as const) {
      const misses = loud.flatMap((one) => {
        const tenth = Math.round(10 * one.seconds)
        const around = [-1, 0, 1].flatMap((step) => of.shortTerm.get(tenth + step) ?? [])
        if (around.length < 3) return []
        const db = numberIn(one[key])
        return [Math.max(0, db - Math.max(...around), Math.min(...around) - db)]
      })
      expect(misses.length, key).toBeGreaterThan(50)
      expect(Math.max(...misses), key).toBeLessThan(0.11)
    }

    const [before, after] = [samplesOf(path), samplesOf(stem)]
    const levelDb = (sound: Float32Array, row: number): number => {
      let sum = 0
      for (let i = row * ROW; i < (row + 1) * ROW; i++) sum += sound[i] ** 2
      return 10 * Math.log10(sum)
    }
    const reducedDb = (row: number): number => levelDb(before, row) - levelDb(after, row)
    const reducing = shown.filter(({ seconds }) => seconds > 0.1 && seconds < SECONDS - 0.1)
    const agreeing = reducing.filter(({ seconds, reduction }) => {
      const row = Math.floor((seconds * FS) / ROW)
      const around = [-2, -1, 0, 1, 2].map((step) => reducedDb(row + step))
      const db = numberIn(reduction)
      return db > Math.min(...around) - 0.2 && db < Math.max(...around) + 0.2
    })
    expect(agreeing.length).toBe(reducing.length)

    // EBU Tech 3341 allows a true-peak meter +0.2 and -0.4 dB, and ffmpeg's is one as well.
    expect(Math.abs(peakShown - bounced.truePeakDb)).toBeLessThan(0.5)
    expect(complaints).toEqual([])
  })
})
