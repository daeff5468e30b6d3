// P28: the picture is with the sound. Clicks in silence play through a chain; when each is heard is read from the samples that
// leave the audio graph and the output's own clock, when each is drawn from what stands in the window. ITU-R BT.1359-1: sound
// that is early by 45 ms or late by 125 ms is noticed; aimed for are 40 ms at the 95th percentile.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { haveMaterial } from '../../require-tool.ts'
import { writeTake } from '../../services/workshop.ts'
import { fillWithChain } from '../chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from '../open-window.ts'
import { BLOCK, type DrawnFrame, record, recorded, tapPage } from './tap.ts'

const FS = 48_000
const CLICKS = 18
const SECONDS = 21
/** Seconds: about one each, at no multiple of a row, a block or a frame of the screen. */
const PLACES = Array.from({ length: CLICKS }, (_, k) => 1.2 + 1.03 * k + 0.37 * ((k * 0.618_034) % 1))
/** With stages that look ahead, so that a latency that was not taken out would show. */
const STAGES = [
  defaultStages.expander,
  defaultStages['low-cut'],
  { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, thresholdDbfs: -40, attackMs: 3 } },
  defaultStages.ceiling,
]
const AIM_MS = 40
/** Three frames at 60 Hz. Where the machine is busy, the browser leaves frames out, and no picture can be closer. */
const LONG_MS = 50

const clicks = (): Float64Array => {
  const take = new Float64Array(SECONDS * FS)
  for (const place of PLACES) take[Math.round(place * FS)] = 0.9
  return take
}

const percentile = (values: readonly number[], part: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(part * values.length))]
const words = (values: readonly number[]): string =>
  `${values.length}: ${[0, 0.05, 0.5, 0.95, 1].map((part) => percentile(values, part).toFixed(1)).join(' / ')} ms`

async function clickTimes(lateS: number) {
  const window = await openWindow('', { bypassCSP: true })
  const { page, workplace, complaints } = window
  const path = writeTake(join(window.folder, 'clicks.wav'), [clicks()])
  await fillWithChain(workplace, STAGES, path)
  await tapPage(page, lateS)
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Chain', exact: true }).click()
  await page.getByRole('slider', { name: /^Along the song/ }).waitFor({ timeout: 60_000 })
  await page.getByText(/measuring/i).waitFor({ state: 'hidden' })
  await record(page)
  await page.getByRole('button', { name: 'Play' }).first().click()
  await page.getByRole('button', { name: 'Stop' }).first().waitFor()
  await page.getByRole('button', { name: 'Stop' }).first().waitFor({ state: 'hidden', timeout: 90_000 })
  const { sound, frames, clock, timeOrigin } = await recorded(page)
  expect(complaints).toEqual([])

  // The peaks of the output, by their frame of the context and by the clock when their block was rendered.
  const peaks: { frame: number; wallMs: number; height: number }[] = []
  for (const run of sound)
    for (const [i, sample] of run.left.entries()) {
      const height = Math.abs(sample)
      if (height < 1e-3) continue
      const frame = run.frame + i
      const one = { frame, wallMs: run.wallMs[Math.floor(i / BLOCK)] - timeOrigin, height }
      const last = peaks.at(-1)
      if (last === undefined || frame - last.frame > 0.3 * FS) peaks.push(one)
      else if (height > last.height) peaks[peaks.length - 1] = one
    }
  expect(peaks).toHaveLength(CLICKS)
  const heardMs = peaks.map(({ frame }) => {
    const seconds = frame / FS
    const stamp = clock.reduce((best, one) =>
      Math.abs(one.contextTime - seconds) < Math.abs(best.contextTime - seconds) ? one : best,
    )
    return stamp.performanceTime + 1000 * (seconds - stamp.contextTime)
  })
  const { baseLatency, outputLatency } = clock[clock.length - 1]
  return { frames, heardMs, peaks, baseLatency, outputLatency, stamps: clock }
}

describe.skipIf(!haveMaterial(CHROMIUM))('the picture', () => {
  it.each([
    ['of the browser', 0],
    ['that is 200 ms late, as wireless headphones are', 0.2],
  ])('is with the sound at an output %s', async (_, lateS) => {
    const { frames, heardMs, peaks, baseLatency, outputLatency, stamps } = await clickTimes(lateS)
    const late = stamps.map(
      (one, k) => 1000 * (one.currentTime - one.contextTime) - (frames[k].atMs - one.performanceTime),
    )
    console.info(
      `headless Chromium reports a base latency of ${(1000 * baseLatency).toFixed(1)} ms, an output latency of ${(1000 * outputLatency).toFixed(1)} ms; by its time stamps ${words(late)}`,
    )
    // The clock when the block was rendered, with the latency that is reported, tells the same as the time stamps.
    console.info(
      `stamps less clock of the audio thread: ${words(heardMs.map((ms, k) => ms - peaks[k].wallMs - 1000 * (outputLatency + lateS)))}`,
    )

    const levelOf = (text: string | undefined): number => Number(text?.replace('\u2212', '-'))
    /** Whether a frame shows a click that the frame before it did not show. */
    const shows: Record<string, (frame: DrawnFrame, before: DrawnFrame, place: number) => boolean> = {
      'line at the place that is heard': ({ playheadPx, lanesPx }, _before, place) =>
        playheadPx !== null && (playheadPx / lanesPx) * SECONDS >= place,
      'level before the chain': ({ levels }) => levels[0] !== '—',
      'level behind the chain': ({ levels }) => levelOf(levels.at(-1)) > -70,
      // It falls slowly, so a click is the next rise.
      'bar of the meter': ({ bar }, before) => bar > before.bar + 0.02,
    }
    const misses: string[] = []
    for (const [what, isShown] of Object.entries(shows)) {
      const all: number[] = []
      const close: number[] = []
      for (const [k, heard] of heardMs.entries()) {
        // From well before the click, which is alone for half a second.
        const drawn = frames.findIndex(
          (frame, n) => n > 0 && frame.atMs >= heard - 400 && isShown(frame, frames[n - 1], PLACES[k]),
        )
        // A window that draws nothing for long shows a short click nowhere; then this is the next one.
        if (drawn < 1 || frames[drawn].atMs > heard + 700) continue
        all.push(frames[drawn].atMs - heard)
        if (frames[drawn].atMs - frames[drawn - 1].begunMs <= LONG_MS) close.push(frames[drawn].atMs - heard)
      }
      console.info(
        `${what}: picture less sound, least / 5 % / half / 95 % / most, all ${words(all)}; where no frame was left out ${words(close)}`,
      )
      // How soon this machine draws is printed; a picture that is not aligned is late or early in every frame.
      const middle = Math.abs(percentile(close, 0.5))
      if (close.length < CLICKS / 4 || middle > AIM_MS)
        misses.push(`${what}: ${close.length} clicks, ${middle} ms`)
    }
    expect(misses).toEqual([])
  })
})
