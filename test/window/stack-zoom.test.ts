// Zoom in Stack by wheel: a step moves the pictures alone, and the lanes are drawn exactly once it rests.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIP = '/usr/share/sounds/alsa/Front_Center.wav'
const LAYERS = 40

/** A session with one clip in many layers, one a second after the other. */
async function fill(workplace: Workplace): Promise<void> {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', date: '2026-11-25' },
    context,
  )
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files: [{ path: CLIP }], voiceId: null, micId: null, curveId: null },
    context,
  )
  const [group] = workplace.catalogue.groups.listOfSession(session.id)
  for (let k = 0; k < LAYERS; k++) {
    const fields = { sessionId: session.id, groupId: group.id, takeId: takes[0].id, name: `Layer ${k + 1}` }
    await acts.addLayer(
      { ...fields, role: 'double', offsetSamples: k * 48_000, gainDb: 0, pan: 0, muted: false },
      context,
    )
  }
}

/** What the lanes say of themselves, and where the third layer is seen. */
const look = (page: Page) =>
  page.evaluate(() => {
    const sheet = document.querySelector<HTMLElement>('.sheet')!
    const wave = document.querySelectorAll<HTMLElement>('.layer-wave')[2]
    const box = wave.getBoundingClientRect()
    return {
      // What would cost a layout.
      laidOut: [sheet.scrollLeft, sheet.scrollWidth, wave.style.left, wave.style.width].join(' '),
      isStretched: wave.closest<HTMLElement>('.lane-picture')!.style.transform !== '',
      left: box.left,
      width: box.width,
      pictures: document.querySelectorAll('.lane-picture').length,
    }
  })

/** One step of the wheel, and the frame that it has changed. */
const turnWheel = (page: Page, deltaY: number): Promise<void> =>
  page.evaluate(async (delta) => {
    const options = { ctrlKey: true, deltaY: delta, bubbles: true, cancelable: true }
    document.querySelector('.sheet')!.dispatchEvent(new WheelEvent('wheel', options))
    for (let frame = 0; frame < 2; frame++) await new Promise((resolve) => requestAnimationFrame(resolve))
  }, deltaY)

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('the zoom of Stack by wheel', () => {
  it('stretches the pictures of the rows in sight, then draws them where they are', {
    timeout: 240_000,
  }, async () => {
    const { page, workplace, complaints } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await page.locator('.layer-wave canvas').first().waitFor()

    const before = await look(page)
    // Rows out of sight have no picture, so they follow no zoom.
    expect(before.pictures).toBeLessThan(LAYERS)
    await turnWheel(page, -100)
    const during = await look(page)
    expect(during.isStretched).toBe(true)
    expect(during.laidOut).toBe(before.laidOut)
    expect(during.width).toBeCloseTo(1.25 * before.width, 0)

    await page.waitForFunction(
      () => document.querySelector<HTMLElement>('.lane-picture')!.style.transform === '',
    )
    const after = await look(page)
    expect(after.laidOut).not.toBe(before.laidOut)
    expect(after.left).toBeCloseTo(during.left, 0)
    expect(after.width).toBeCloseTo(during.width, 0)

    // A drag that begins while the lanes are stretched has their true scale.
    await turnWheel(page, -100)
    await page.locator('.layer-wave').nth(2).dispatchEvent('pointerdown', { button: 2 })
    expect((await look(page)).isStretched).toBe(false)
    expect(complaints).toEqual([])
  })
})
