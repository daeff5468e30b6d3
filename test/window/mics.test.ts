// Mics in the real window: paste a curve, trace a JPEG that Chromium drew, use a correction in the
// chain, carry a chain to another mic.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { octaveGridHz, resampleCurve } from '../../app/dsp/correction/curve.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { inventedMicCurve } from '../signals/mic-curves.ts'
import { CHROMIUM, type OpenWindow, openWindow, reloadWindow } from './open-window.ts'

const WIDTH = 1300
const HEIGHT = 760
const BOX = { left: 90, right: 1240, top: 50, bottom: 680 }
const xOf = (f: number): number => BOX.left + ((BOX.right - BOX.left) * Math.log(f / 20)) / Math.log(1000)
const yOf = (db: number): number => BOX.top + ((BOX.bottom - BOX.top) * (20 - db)) / 40

/** A plot with grid, labels and two curves, drawn by the browser. @returns the JPEG in base64 */
function drawPlot(page: Page, main: number[], other: number[]): Promise<string> {
  const places = (levels: number[]): [number, number][] =>
    levels.map((levelDb, i) => [xOf(20 * 1000 ** (i / (levels.length - 1))), yOf(levelDb)])
  const grid = {
    xs: [10, 100, 1000, 10_000]
      .flatMap((decade) => [1, 2, 3, 4, 5, 6, 7, 8, 9].map((n) => n * decade))
      .filter((f) => f >= 20 && f <= 20_000)
      .map((f) => ({ x: xOf(f), name: f >= 1000 ? `${f / 1000}k` : String(f) })),
    ys: [-20, -10, 0, 10, 20].map((db) => ({ y: yOf(db), name: String(db) })),
  }
  return page.evaluate(
    ({ width, height, box, grid, lines }) => {
      const canvas = document.createElement('canvas')
      canvas.width = width
      canvas.height = height
      const pen = canvas.getContext('2d')!
      pen.fillStyle = '#fff'
      pen.fillRect(0, 0, width, height)
      pen.strokeStyle = '#bbb'
      const line = (x1: number, y1: number, x2: number, y2: number) => {
        pen.beginPath()
        pen.moveTo(x1, y1)
        pen.lineTo(x2, y2)
        pen.stroke()
      }
      pen.font = '15px sans-serif'
      for (const { x, name } of grid.xs) {
        line(x, box.top, x, box.bottom)
        pen.fillStyle = '#111'
        pen.fillText(name, x - 8, box.bottom + 20)
      }
      for (const { y, name } of grid.ys) {
        line(box.left, y, box.right, y)
        pen.fillText(name, box.left - 40, y + 5)
      }
      pen.strokeStyle = '#111'
      pen.lineWidth = 2
      pen.strokeRect(box.left, box.top, box.right - box.left, box.bottom - box.top)
      for (const { colour, places } of lines) {
        pen.strokeStyle = colour
        pen.lineWidth = 2.6
        pen.beginPath()
        for (const [x, y] of places) pen.lineTo(x, y)
        pen.stroke()
      }
      pen.fillText('0 degrees', 700, lines[1].places[500][1] - 12)
      return canvas.toDataURL('image/jpeg', 0.55).split(',')[1]
    },
    {
      width: WIDTH,
      height: HEIGHT,
      box: BOX,
      grid,
      lines: [
        { colour: '#2b5fc0', places: places(other) },
        { colour: '#c02233', places: places(main) },
      ],
    },
  )
}

/** Two mics, a voice with a chain, and a session without takes. */
async function furnish(workplace: Workplace) {
  const handlers = createHandlers(workplace)
  const mics = []
  for (const [i, name] of ['Old mic', 'New mic'].entries()) {
    const mic = await handlers.createMic({ name, serial: '', pattern: 'cardioid', note: '' }, context)
    const { frequenciesHz, levelsDb } = inventedMicCurve(i + 1)
    await handlers.createCurve(
      {
        micId: mic.id,
        name: `${name} on axis`,
        source: 'invented',
        pattern: 'cardioid',
        distanceM: 0.3,
        note: '',
        points: { frequenciesHz: [...frequenciesHz], levelsDb: [...levelsDb] },
        picture: null,
      },
      context,
    )
    mics.push(mic)
  }
  const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voice = await handlers.createVoice({ artistId: artist.id, name: 'Rap', note: '' }, context)
  const half = {
    ...defaultStages['mic-correction'],
    settings: { ...defaultStages['mic-correction'].settings, amountPercent: 40 },
  }
  await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Verse', stages: [half, defaultStages['low-cut']], note: '' },
    context,
  )
  await handlers.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  return mics
}

async function openMics(): Promise<OpenWindow> {
  const window_ = await openWindow()
  await furnish(window_.workplace)
  await reloadWindow(window_.page)
  await window_.page.getByRole('button', { name: 'Mics', exact: true }).click()
  await window_.page.getByRole('heading', { name: 'Old mic' }).waitFor()
  return window_
}

const levelsOf = (seed: number): number[] =>
  resampleCurve(
    inventedMicCurve(seed),
    Array.from({ length: 1001 }, (_, i) => 20 * 1000 ** (i / 1000)),
  ).levelsDb as number[]

describe.skipIf(!haveMaterial(CHROMIUM))('the Mics place', () => {
  it('traces a JPEG that Chromium drew within 0.5 dB RMS, and saves the picture with the curve', async () => {
    const { page, workplace, folder, complaints, picture } = await openMics()
    await page.getByRole('tab', { name: 'Trace' }).click()
    const jpeg = Buffer.from(await drawPlot(page, levelsOf(7), levelsOf(8)), 'base64')
    const choose = async (name: string, buffer: Buffer) => {
      const [chooser] = await Promise.all([
        page.waitForEvent('filechooser'),
        page.getByRole('button', { name: 'Choose picture…' }).click(),
      ])
      await chooser.setFiles({ name, mimeType: 'image/jpeg', buffer })
    }
    await choose('letter.jpg', Buffer.from('no picture at all'))
    await page.getByText('letter.jpg is not a picture that can be traced').waitFor()
    await choose('cut.jpg', jpeg.subarray(0, 700))
    await page.getByText('cut.jpg is damaged and cannot be opened').waitFor()
    await choose('sheet.jpg', jpeg)

    const sheet = page.locator('.trace-page svg')
    await sheet.waitFor()
    const click = async (x: number, y: number) => {
      const zoom = (await sheet.boundingBox())!.width / WIDTH
      await sheet.click({ position: { x: x * zoom, y: y * zoom } })
    }
    await click(xOf(20), yOf(-20))
    await click(xOf(20) + 3, yOf(-10))
    await click(xOf(20) + 40, yOf(-20))
    await click(xOf(20) + 40, yOf(10))
    await page.getByText('too close together').waitFor()
    await page.getByRole('button', { name: 'Place again: high frequency' }).click()
    await click(xOf(20_000), yOf(-20))
    await page.getByText('Axes set. Drag a mark').waitFor()
    const clear = [...octaveGridHz(200, 8000, 3)].sort((a, b) => apart(b) - apart(a))[0]
    await click(xOf(clear), yOf(resampleCurve(inventedMicCurve(7), [clear]).levelsDb[0]))
    await page.getByText('Line followed').waitFor()
    await picture('mics-trace')
    // With the keyboard: the first point half a pixel up and down again, each an undo step.
    await page.getByRole('button', { name: 'Next point' }).click()
    await page.getByRole('application').focus()
    await page.keyboard.press('ArrowUp')
    await page.keyboard.press('ArrowDown')
    await page.getByRole('textbox', { name: 'Name', exact: true }).fill('Traced on axis')
    await page.getByRole('button', { name: 'Save curve' }).click()
    await page.getByRole('tab', { name: 'Curves', selected: true }).waitFor()

    const curve = workplace.catalogue.curves.list().find(({ name }) => name === 'Traced on axis')!
    const inside = octaveGridHz(30, 19_000, 24)
    const got = resampleCurve(curve.points, inside).levelsDb
    const wanted = resampleCurve(inventedMicCurve(7), inside).levelsDb
    const rmsDb = Math.sqrt(got.reduce((sum, db, i) => sum + (db - wanted[i]) ** 2, 0) / inside.length)
    console.info(
      `trace of Chromium's JPEG: ${rmsDb.toFixed(3)} dB RMS, ${curve.points.frequenciesHz.length} points`,
    )
    expect(rmsDb).toBeLessThan(0.5)
    expect(curve.points.frequenciesHz[0]).toBeLessThan(30)
    expect(curve.points.frequenciesHz.at(-1)).toBeGreaterThan(19_000)
    expect(readdirSync(join(folder, 'pictures'))).toEqual([`${curve.picture!.sha256}.jpeg`])

    // The picture opens again with its points.
    await page.getByRole('button', { name: 'More for Traced on axis' }).click()
    await page.getByRole('menuitem', { name: 'Edit trace' }).click()
    await page.getByText(`${curve.points.frequenciesHz.length} points from`).waitFor()
    await page.getByRole('button', { name: 'Close picture' }).click()
    expect(complaints).toEqual([])

    function apart(f: number): number {
      const [a, b] = [7, 8].map((seed) => resampleCurve(inventedMicCurve(seed), [f]).levelsDb[0])
      return Math.abs(a - b)
    }
  })

  it('imports pasted text, overlays, subtracts, removes, and undoes that', async () => {
    const { page, workplace, complaints, picture } = await openMics()
    await page.getByRole('button', { name: 'Import curve' }).click()
    await page.getByRole('textbox', { name: 'Name', exact: true }).fill('Pasted')
    await page.getByRole('textbox', { name: 'Points' }).fill('20;abc\n1000;0')
    await page.getByRole('button', { name: 'Import curve' }).last().click()
    await page.getByRole('alert').filter({ hasText: 'Pasted' }).waitFor()
    await page.getByRole('textbox', { name: 'Points' }).fill('kHz;dB\n0,02;-3,5\n20;2\n1;0\n1;1')
    await page.getByRole('button', { name: 'Import curve' }).last().click()
    await page.getByText('1 repeated frequency was averaged.').waitFor()
    await page.getByRole('button', { name: 'Show', exact: true }).click()
    await page.getByRole('button', { name: 'Save as curve' }).click()
    await page.getByRole('checkbox', { name: /minus/ }).waitFor()
    await picture('mics-overlay')
    const names = () => workplace.catalogue.curves.list().map(({ name }) => name)
    expect(names()).toHaveLength(4)
    await page.getByRole('button', { name: 'More for Pasted' }).click()
    await page.getByRole('menuitem', { name: 'Remove' }).click()
    await page.getByRole('checkbox', { name: /Pasted/ }).waitFor({ state: 'detached' })
    expect(names()).not.toContain('Pasted')
    await page.keyboard.press('Control+z')
    await page.getByRole('checkbox', { name: /Pasted/ }).waitFor()
    expect(names()).toContain('Pasted')
    expect(complaints).toEqual([])
  })

  it('uses a correction in the chain draft, and carries a chain to another mic', async () => {
    const { page, workplace, complaints, picture } = await openMics()
    await page.getByRole('tab', { name: 'Carry' }).click()
    await page.getByText('RMS difference').waitFor()
    await picture('mics-carry')
    await page.getByRole('button', { name: 'Save as new version' }).click()
    await page.getByText('Saved Verse as version 2').waitFor()
    const [chain] = workplace.catalogue.chains.list()
    const second = workplace.catalogue.chains.versions(chain.id).find(({ number }) => number === 2)!
    expect(second.note).toMatch(/^Carried from New mic to Old mic: 0\.\d\d.dB RMS/)
    expect(second.stages.map(({ kind }) => kind)).toEqual(['mic-correction', 'low-cut'])

    await page.getByRole('tab', { name: 'Correction' }).click()
    await page.getByText('RMS error').waitFor()
    await picture('mics-correction')
    await page.getByRole('button', { name: 'Propose' }).click()
    await page.getByText('An ideal cardioid').waitFor()
    await page.getByRole('button', { name: 'Use in chain' }).click()
    await page.getByRole('region', { name: 'Settings of Mic correction' }).waitFor()
    await page.keyboard.press('Control+z')
    await page.getByRole('region', { name: 'Settings of Mic correction' }).waitFor({ state: 'detached' })
    expect(complaints).toEqual([])
  })
})
