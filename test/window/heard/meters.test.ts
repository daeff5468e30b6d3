// The transport's meters against ffmpeg's ebur128, on the sound that leaves the window, at the place that is heard.

import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { writeTake } from '../../services/workshop.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { fillWithChain } from '../chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from '../open-window.ts'
import { record, recorded, tapPage } from './tap.ts'

const FS = 48_000
const SECONDS = 16
/** Levels of four seconds each. */
const LEVELS = [0.4, 0.05, 0.2, 0.1]
/** The level at which the window listens; what it captures is lower than its meters by this. */
const LISTENING_DB = -20
/** Without make-up, so that the match lowers the dry side and leaves this one. */
const OPTO = {
  ...defaultStages.opto,
  settings: { ...defaultStages.opto.settings, thresholdDbfs: -24, attackMs: 30, makeUpDb: 0 },
}
/** A text is written every 100 ms, of readings that come every 50 ms, in a frame that a loaded machine draws late. */
const OLDEST_S = 0.6
const NEWEST_S = 0.1

/** Silent at first: the window fades in at a start, in front of which it meters. */
const levelAt = (frame: number): number => (frame < FS / 2 ? 0 : LEVELS[Math.floor(frame / (4 * FS))])

/** Noise without its top octaves, whose peaks between samples no two meters interpolate alike. */
function steps(): Float64Array {
  const noise = whiteNoise(SECONDS * FS, 5, 1)
  const take = new Float64Array(noise.length)
  for (let i = 3; i < take.length; i++)
    take[i] = levelAt(i) * 0.25 * (noise[i] + noise[i - 1] + noise[i - 2] + noise[i - 3])
  return take
}

/** Figures of every 100 ms of a file, and its true peak in dB. */
function byFfmpeg(path: string) {
  const { stdout, stderr } = spawnSync(
    'ffmpeg',
    [
      ...['-hide_banner', '-i', path, '-af', 'ebur128=peak=true:metadata=1,ametadata=print:file=-'],
      ...['-f', 'null', '-'],
    ],
    { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 },
  )
  const rows = [...stdout.matchAll(/pts_time:([\d.]+)[\s\S]*?r128\.S=(-?[\d.]+)/g)].map(
    // The figures are those at the end of the frame of 100 ms.
    ([, at, s]) => ({ atS: Number(at) + 0.1, S: Number(s) }),
  )
  const peaks = [...stderr.matchAll(/Peak: +(-?[\d.]+) dBFS/g)].map(([, peak]) => Number(peak))
  return { rows, truePeakDb: Math.max(...peaks) }
}

const numberIn = (text: string): number => Number(text.replace('\u2212', '-'))

describe.skipIf(!haveMaterial(CHROMIUM) || !hasTool('ffmpeg'))("the transport's meters", () => {
  it("show what ffmpeg's ebur128 finds in the sound that leaves the window", async () => {
    const window = await openWindow('', { bypassCSP: true })
    const { page, workplace, complaints } = window
    await fillWithChain(workplace, [OPTO], writeTake(join(window.folder, 'steps.wav'), [steps()]))
    await tapPage(page)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await page.getByRole('slider', { name: /^Along the song/ }).waitFor({ timeout: 60_000 })
    await record(page)
    await page.getByRole('button', { name: 'Play' }).first().click()
    const stop = page.getByRole('button', { name: 'Stop' }).first()
    await stop.waitFor()
    await stop.waitFor({ state: 'hidden', timeout: 60_000 })
    const { sound, frames, clock } = await recorded(page)
    const highest = numberIn(
      (await page.locator('.meter-highest').textContent())?.match(/[\u2212\d.]+/)?.[0] ?? '',
    )

    for (const [k, run] of sound.entries())
      if (k > 0) expect(run.frame).toBe(sound[k - 1].frame + run.left.length)
    const first = sound[0].frame
    const level = 10 ** (-LISTENING_DB / 20)
    const heard = [
      Float64Array.from(sound.flatMap(({ left }) => left.map((x) => level * x))),
      Float64Array.from(sound.flatMap(({ right }) => right.map((x) => level * x))),
    ]
    const { rows, truePeakDb } = byFfmpeg(
      writeTake(join(window.folder, 'captured.wav'), heard, { encoding: 'float-32' }),
    )
    expect(rows.length).toBeGreaterThan(10 * (SECONDS - 1))
    // 0.1 dB are ffmpeg's last digit.
    console.info(`true peak ${highest} dBTP, by ffmpeg ${truePeakDb} dBTP`)
    expect(Math.abs(highest - truePeakDb)).toBeLessThan(0.2)

    const misses = frames.flatMap(({ shortTerm }, n) => {
      const { contextTime } = clock[n]
      if (shortTerm === '—' || shortTerm === '' || contextTime === 0) return []
      const at = contextTime - first / FS
      const around = rows.filter(({ atS }) => atS > at - OLDEST_S - 0.1 && atS < at + NEWEST_S + 0.1)
      if (around.length < 4 || at > SECONDS) return []
      const figures = around.map(({ S }) => S)
      const shown = numberIn(shortTerm)
      return [Math.max(0, shown - Math.max(...figures), Math.min(...figures) - shown)]
    })
    console.info(`S: ${misses.length} readings, at most ${Math.max(...misses).toFixed(3)} LU beside ffmpeg's`)
    expect(misses.length).toBeGreaterThan(300)
    expect(Math.max(...misses)).toBeLessThan(0.1)
    // Where the level has stood for three seconds, no figure moves.
    const settled = frames.flatMap((frame, n) => {
      const at = clock[n].contextTime - first / FS
      const now = rows.filter(({ atS }) => Math.abs(atS - at) < 0.35).map(({ S }) => S)
      const isStill = now.length > 4 && Math.max(...now) - Math.min(...now) < 0.03
      return isStill && frame.shortTerm !== '—' && clock[n].contextTime > 0
        ? [Math.abs(numberIn(frame.shortTerm) - now[0])]
        : []
    })
    console.info(`S at rest: ${settled.length} readings, at most ${Math.max(...settled).toFixed(3)} LU off`)
    expect(settled.length).toBeGreaterThan(7)
    expect(Math.max(...settled)).toBeLessThanOrEqual(0.1)
    expect(complaints).toEqual([])
  })
})
