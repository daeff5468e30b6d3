// The whole job in the real window, by mouse and keyboard: create artist and session, import two
// real files, place them, set the chain, play and bounce; the stems are then checked on disk.

import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../app/audio/open-audio-file.ts'
import { parseManifest } from '../../app/contract/manifest.ts'
import type { CapturedSpan } from '../../renderer/playback/capture.ts'
import { hasTool, haveMaterial } from '../require-tool.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

const CLIPS = ['Front_Center', 'Rear_Left'].map((name) => `/usr/share/sounds/alsa/${name}.wav`)
/** 1.25 s of a clip that is 1.4 s long. */
const HEARD_FRAMES = 60_000
const hasAll = haveMaterial(CHROMIUM, ...CLIPS) && hasTool('ffmpeg')

interface Captured {
  readonly fromFrame: number
  readonly read: number[][]
  readonly heard: number[][]
}

declare global {
  interface Window {
    /** The running recording, between two calls into the page. */
    pending: Promise<CapturedSpan> | undefined
  }
}

async function choose(page: Page, label: string, option: string): Promise<void> {
  await page.getByRole('button', { name: label }).first().click()
  await page.getByRole('option', { name: option }).first().click()
}

async function type(page: Page, label: string | RegExp, text: string): Promise<void> {
  const field = page.getByRole('spinbutton', { name: label }).first()
  await field.fill(text)
  await field.press('Enter')
}

describe.skipIf(!hasAll)('the job in the window', () => {
  it('goes from an empty catalogue to stems on disk', async () => {
    const { page, folder, workplace, complaints, picture } = await openWindow('capture')

    await page.getByRole('button', { name: 'New artist and session' }).click()
    await page.getByLabel('Artist name').fill('Invented Artist')
    await page.getByLabel('Voice').fill('Spoken')
    await page.getByLabel('Song', { exact: true }).fill('Invented Song')
    await picture('job-1-session')
    await page.getByRole('button', { name: 'Create session' }).click()

    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Import takes' }).click()
    await (await chooser).setFiles(CLIPS)
    await page.getByRole('row', { name: /Rear_Left/ }).waitFor()
    await page.getByRole('row', { name: /Front_Center/ }).click()
    await picture('job-2-intake')
    // The name tells no role.
    await choose(page, 'Place as', 'Lead')
    await page.getByRole('button', { name: 'Place in stack' }).click()
    await page.getByRole('row', { name: /Rear_Left/ }).click()
    await choose(page, 'Place as', 'Double')
    await page.getByRole('button', { name: 'Place in stack' }).click()

    await page.keyboard.press('3')
    await type(page, 'Gain of Rear_Left', '-5 dB')
    await type(page, 'Pan of Rear_Left', 'L 60')
    await expect
      .poll(() => workplace.catalogue.layers.listOfSession(1).map(({ gainDb, pan }) => [gainDb, pan]))
      .toEqual([
        [0, 0],
        [-5, -0.6],
      ])
    await picture('job-3-stack')

    await page.getByRole('button', { name: 'Open in Chain: Lead' }).click()
    await page.getByRole('button', { name: 'Start from the usual order' }).click()
    await page.getByRole('button', { name: /^Opto.*, stage/ }).click()
    await type(page, 'Threshold', '-30')
    await type(page, 'Make-up', '2')
    await page.getByText(/measuring/i).waitFor({ state: 'hidden' })
    await picture('job-4-chain')
    await page.keyboard.press('Control+s')
    await page.getByLabel('Name').fill('Spoken word')
    await page.getByRole('dialog').getByRole('button', { name: 'Save' }).click()
    await expect.poll(() => workplace.catalogue.groups.listOfSession(1)[0].chainVersionId).not.toBeNull()
    const opto = workplace.catalogue.chains.version(1).stages.find((stage) => stage.kind === 'opto')
    expect(opto?.settings).toMatchObject({ thresholdDbfs: -30, makeUpDb: 2 })

    await page.getByRole('dialog').waitFor({ state: 'hidden' })

    // Records the output of the worklet: processed, then dry from the same position.
    await page.keyboard.press('3')
    await page.getByRole('button', { name: 'Play stack' }).click()
    await page.getByRole('button', { name: 'Stop' }).waitFor()
    await page.getByText(/lowered/).waitFor()
    await picture('job-5-playing')
    const processed = await playAndCapture(page, HEARD_FRAMES)
    await page.keyboard.press('d')
    const dry = await playAndCapture(page, HEARD_FRAMES)
    expect(dry.fromFrame).toBe(processed.fromFrame)

    await page.getByRole('button', { name: 'Bounce', exact: true }).click()
    await page.getByLabel('Folder').fill(join(folder, 'stems'))
    await page.getByRole('dialog').getByRole('button', { name: 'Bounce' }).click()
    await page.getByRole('button', { name: 'Close' }).waitFor()
    await picture('job-6-bounced')
    const said = await page
      .getByRole('dialog')
      .locator('tbody tr')
      .evaluateAll((rows) =>
        rows.map((row) => [...row.querySelectorAll('td')].map((cell) => cell.textContent ?? '')),
      )

    const files = readdirSync(join(folder, 'stems')).sort()
    expect(files).toEqual([
      'InventedSong_Doubles_48k24b.wav',
      'InventedSong_Lead_48k24b.wav',
      'manifest.json',
    ])
    const manifest = parseManifest(
      JSON.parse(readFileSync(join(folder, 'stems', 'manifest.json'), 'utf8')),
      'manifest',
    )
    expect(manifest.plan.layers.map(({ gainDb, pan }) => [gainDb, pan])).toEqual([
      [0, 0],
      [-5, -0.6],
    ])

    // The levels beside each stem match the manifest.
    for (const [i, { integratedLufs, truePeakDbtp }] of manifest.stems.entries()) {
      const levels = [integratedLufs, truePeakDbtp].map((level) => level!.toFixed(1))
      expect(said[i].slice(-2).map((figure) => figure.replaceAll('−', '-'))).toEqual(levels)
    }

    const sum = sumOfStems(folder, processed.fromFrame, HEARD_FRAMES)
    for (const side of [0, 1]) {
      // Both stems are dithered to 24 bits: two errors of at most 1.5 words, -130 dB.
      expect(nullDb(processed.read[2 + side], sum[side])).toBeLessThan(-90)
    }
    expect(levelDb(processed.read[2])).toBeGreaterThan(-60)
    // The output is after the listening level, which starts at -20 dB.
    expect(levelDb(processed.heard[0])).toBeLessThan(levelDb(processed.read[2]) - 15)
    const difference = loudnessDifferenceLu(folder, dry.heard, processed.heard)
    console.info(`processed against dry: ${difference.toFixed(3)} LU by ffmpeg's ebur128`)
    const courses = [dry, processed].map(({ heard }) => levelCourse(heard[0])).join('; ')
    expect(Math.abs(difference), `dry and processed as heard, dB each 100 ms: ${courses}`).toBeLessThan(0.1)
    expect(complaints).toEqual([])
  })
})

/** Plays the stack from its start and returns the input and output of the worklet. */
async function playAndCapture(page: Page, frames: number): Promise<Captured> {
  const stop = page.getByRole('button', { name: 'Stop' })
  if (await stop.isVisible()) await stop.click()
  await page.getByRole('slider', { name: 'Position', exact: true }).press('Home')
  // The recording starts with the next frame that is played.
  await page.evaluate((count) => {
    window.pending = window.takeloftCapture?.record(count)
  }, frames)
  await page.getByRole('button', { name: 'Play stack' }).click()
  return page.evaluate(async () => {
    const span = await window.pending
    if (span === undefined) throw new Error('this page captures nothing')
    const plain = (channels: readonly Float32Array[]): number[][] => channels.map((channel) => [...channel])
    return { fromFrame: span.fromFrame, read: plain(span.read), heard: plain(span.heard) }
  })
}

/**
 * Processed minus dry, by ffmpeg's ebur128 as the independent meter: its momentary loudness
 * every 100 ms, over the windows in which the dry sound is active, the same for both.
 */
function loudnessDifferenceLu(folder: string, dry: number[][], processed: number[][]): number {
  const [dryPowers, processedPowers] = [dry, processed].map((sound, k) => {
    const path = join(folder, `heard-${k}.f32`)
    const interleaved = Float32Array.from({ length: sound[0].length * 2 }, (_, i) => sound[i % 2][i >> 1])
    writeFileSync(path, Buffer.from(interleaved.buffer))
    const report = execFileSync('ffmpeg', [
      ...['-v', 'error', '-f', 'f32le', '-ar', '48000', '-ac', '2', '-i', path],
      ...['-af', 'ebur128=metadata=1,ametadata=print:key=lavfi.r128.M:file=-', '-f', 'null', '-'],
    ]).toString()
    return [...report.matchAll(/lavfi\.r128\.M=(-?[\d.]+)/g)].map((found) => 10 ** (Number(found[1]) / 10))
  })
  const loudest = Math.max(...dryPowers)
  let sums = [0, 0]
  for (const [k, power] of dryPowers.entries()) {
    if (power > loudest / 10) sums = [sums[0] + power, sums[1] + processedPowers[k]]
  }
  return 10 * Math.log10(sums[1] / sums[0])
}

function sumOfStems(folder: string, fromFrame: number, frames: number): Float64Array[] {
  const sum = [new Float64Array(frames), new Float64Array(frames)]
  for (const name of readdirSync(join(folder, 'stems')).filter((file) => file.endsWith('.wav'))) {
    const audio = openAudioFile(join(folder, 'stems', name))
    const stem = [new Float64Array(frames), new Float64Array(frames)]
    audio.read(fromFrame, frames, stem)
    audio.close()
    for (const side of [0, 1]) for (let i = 0; i < frames; i++) sum[side][i] += stem[side][i]
  }
  return sum
}

function nullDb(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let greatest = 0
  for (let i = 0; i < a.length; i++) greatest = Math.max(greatest, Math.abs(a[i] - b[i]))
  return 20 * Math.log10(greatest)
}

const levelCourse = (x: readonly number[]): string =>
  Array.from({ length: Math.floor(x.length / 4800) }, (_, k) =>
    levelDb(x.slice(k * 4800, (k + 1) * 4800)).toFixed(0),
  ).join(' ')

const levelDb = (x: ArrayLike<number>): number =>
  10 * Math.log10(Array.from(x).reduce((sum, one) => sum + one * one, 0) / x.length)
