// What is dragged in the window: a stage to another place, a waveform in time, a point on a plot.
// A drag that is cancelled changes nothing.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIP = '/usr/share/sounds/alsa/Front_Center.wav'
const STAGES: ChainStages = [
  { ...defaultStages.tone, settings: { bands: [{ shape: 'bell', frequencyHz: 1000, gainDb: 0, q: 1 }] } },
  defaultStages['low-cut'],
  defaultStages.opto,
]

/** One layer in the first group, and a chain on it. */
async function fill(workplace: Workplace) {
  const { catalogue, now } = workplace
  const acts = createHandlers(workplace)
  const artist = catalogue.artists.insert({ name: 'Invented Artist', note: '' }, now())
  const voice = catalogue.voices.insert({ artistId: artist.id, name: 'Spoken', note: '' }, now())
  const { id: sessionId } = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song', date: '2026-11-25' },
    context,
  )
  const { takes } = await acts.importTakes(
    { sessionId, files: [{ path: CLIP }], voiceId: voice.id, micId: null, curveId: null },
    context,
  )
  const [lead] = catalogue.groups.listOfSession(sessionId)
  const layer = await acts.addLayer(
    {
      sessionId,
      groupId: lead.id,
      takeId: takes[0].id,
      name: 'Lead 1',
      role: 'lead',
      offsetSamples: 0,
      gainDb: 0,
      pan: 0,
      muted: false,
    },
    context,
  )
  const version = await acts.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Spoken', stages: STAGES, note: '' },
    context,
  )
  await acts.updateGroup({ id: lead.id, changes: { chainVersionId: version.id } }, context)
  return () => catalogue.layers.listOfSession(sessionId).find(({ id }) => id === layer.id)!.offsetSamples
}

const middleOf = async (page: Page, selector: string) => {
  const box = (await page.locator(selector).first().boundingBox())!
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 }
}

/** Presses in the middle of an element and moves by a distance, without letting go. */
async function drag(page: Page, selector: string, byX: number, byY = 0): Promise<void> {
  const { x, y } = await middleOf(page, selector)
  await page.mouse.move(x, y)
  await page.mouse.down()
  await page.mouse.move(x + byX / 2, y + byY / 2)
  await page.mouse.move(x + byX, y + byY)
}

const stagesOf = (page: Page): Promise<string[]> => page.locator('.stage-title').allTextContents()

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('a drag', () => {
  it('moves a stage, a waveform and a point, each as one step of undo, and nothing where it is cancelled', async () => {
    const { page, workplace, complaints } = await openWindow()
    const offset = await fill(workplace)
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await page.locator('.stage-heads').waitFor()
    expect(await stagesOf(page)).toEqual(['Tone', 'Low-cut', 'Opto'])

    // A press on a stage selects it; over 5 px it is a drag.
    await page.locator('.stage-name').nth(2).click()
    expect(await page.locator('.stage-name').nth(2).getAttribute('aria-current')).toBe('true')
    const { width } = (await page.locator('.stage-head').first().boundingBox())!
    await drag(page, '.stage-head .stage-title', width)
    await page.mouse.up()
    await expect.poll(() => stagesOf(page)).toEqual(['Low-cut', 'Tone', 'Opto'])
    await page.getByRole('button', { name: 'Undo move Tone' }).click()
    await expect.poll(() => stagesOf(page)).toEqual(['Tone', 'Low-cut', 'Opto'])

    // A point: up is more gain, right is a higher frequency; the whole way is one step.
    await page.locator('.stage-name').first().click()
    const gain = page.getByRole('spinbutton', { name: 'Gain of band 1' })
    const before = await gain.inputValue()
    await drag(page, '.plot-point', 60, -40)
    await page.mouse.up()
    await expect.poll(() => gain.inputValue()).not.toBe(before)
    expect(await gain.inputValue()).toMatch(/^\+/)
    await page.getByRole('button', { name: /^Undo Tone: band 1/ }).click()
    await expect.poll(() => gain.inputValue()).toBe(before)
    expect(await page.getByRole('button', { name: 'Undo', exact: true }).isDisabled()).toBe(true)

    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await page.locator('.layer-wave').waitFor()
    await drag(page, '.layer-wave', 80)
    await page.keyboard.press('Escape')
    await page.mouse.move(0, 300)
    await page.mouse.up()
    expect(await page.locator('.layer-wave').getAttribute('data-dragging')).toBeNull()
    expect(offset()).toBe(0)
    await drag(page, '.layer-wave', 80)
    await page.mouse.up()
    await expect.poll(offset).toBeGreaterThan(0)
    await page.getByRole('button', { name: 'Undo offset of Lead 1' }).click()
    await expect.poll(offset).toBe(0)
    expect(complaints).toEqual([])
  })
})
