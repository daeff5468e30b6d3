// The stack's check in the window, on six layers of recorded speech: one layer has a bell of 8 dB at 3 kHz, and one is
// a copy of another 1 ms late. Both are found, named on their layers, heard, and answered.

import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveSpeech } from '../fidelity/speech.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { SPEECH_LEVELS_DB, speechLayers } from '../signals/speech-stack.ts'
import { throughBand } from '../signals/voice-takes.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const NAMES = ['Lead', 'Double 1', 'Double 2', 'Double 3', 'Double 4', 'Double 1 copy']
const HARSH = 3

async function openSixLayers() {
  const window = await openWindow()
  const { workplace, folder, page } = window
  page.setDefaultTimeout(8000)
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  mkdirSync(join(folder, 'takes'))
  const sounds = speechLayers(5).map((samples, k) =>
    k === HARSH ? throughBand(samples, 'bell', 3000, 8, 2) : samples,
  )
  const files = sounds.map((samples, k) => ({
    path: writeTake(join(folder, 'takes', `${NAMES[k]}.wav`), [samples], { encoding: 'float-32' }),
  }))
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
    context,
  )
  const groups = workplace.catalogue.groups.listOfSession(session.id)
  for (const [k, name] of NAMES.entries()) {
    const isCopy = k === 5
    const of = isCopy ? 1 : k
    await acts.addLayer(
      {
        sessionId: session.id,
        groupId: groups[k === 0 ? 0 : 1].id,
        takeId: takes.find((take) => take.name === NAMES[of])!.id,
        name,
        role: k === 0 ? 'lead' : 'double',
        offsetSamples: isCopy ? 48 : 0,
        gainDb: SPEECH_LEVELS_DB[of],
        pan: of === 0 ? 0 : (of - 2.5) / 4,
        muted: false,
      },
      context,
    )
  }
  await reloadWindow(page)
  await page.getByRole('button', { name: 'Stack', exact: true }).click()
  await page.getByRole('button', { name: 'Check', exact: true }).click()
  await stateOf(page)
    .filter({ hasText: /findings?$/ })
    .waitFor({ timeout: 60_000 })
  const layerOf = (name: string) =>
    workplace.catalogue.layers.listOfSession(session.id).find((layer) => layer.name === name)!
  return { ...window, session, layerOf }
}

const stateOf = (page: Page) => page.locator('.check-state')
const panel = (page: Page) => page.getByRole('region', { name: 'Stack check', exact: true })
const rowOf = (page: Page, name: string) => page.getByRole('row', { name, exact: true })
/** Number of the finding in whose row of the table the words are. */
async function numberOf(page: Page, words: RegExp): Promise<string> {
  const row = page
    .getByRole('table', { name: 'Findings' })
    .getByRole('row')
    .filter({ hasText: words })
    .first()
  return (await row.locator('td').first().textContent())!
}

describe.skipIf(!haveMaterial(CHROMIUM) || !haveSpeech)('Checking the stack', () => {
  it('names the harsh layer and the copy, where they stand, and answers them', {
    timeout: 240_000,
  }, async () => {
    const { page, complaints, layerOf, picture } = await openSixLayers()
    await picture('stack-check-before')
    await page.getByRole('button', { name: 'Next finding' }).click()
    // The first finding is the planted one, and its flag stands in the row of its layer alone.
    await expect.poll(() => panel(page).textContent()).toContain('Harsh build-up')
    expect(await panel(page).textContent()).toContain(`through ${NAMES[HARSH]}, which has`)
    const flag = (name: string, number: string) =>
      rowOf(page, name).getByRole('button', { name: `Finding ${number} on ${name}` })
    expect(await flag(NAMES[HARSH], '1').count()).toBe(1)
    for (const name of NAMES.filter((_, k) => k !== HARSH)) expect(await flag(name, '1').count()).toBe(0)
    // What builds up is drawn in that row and in no other.
    for (const [k, name] of NAMES.entries()) {
      const hot = (await rowOf(page, name).locator('.check-hot').getAttribute('d')) ?? ''
      expect([name, hot.length > 0]).toEqual([name, k === HARSH])
    }
    expect(await page.getByRole('button', { name: 'Loop' }).getAttribute('aria-pressed')).toBe('true')
    await picture('stack-check-light')
    await page.evaluate(() => document.documentElement.setAttribute('data-theme', 'dark'))
    await picture('stack-check-dark')
    await page.evaluate(() => document.documentElement.removeAttribute('data-theme'))

    await page.getByRole('button', { name: 'Check as table' }).click()
    const comb = await numberOf(page, /Double 1 copy and Double 1 have the same sound 1 ms apart/)
    for (const name of ['Double 1', 'Double 1 copy']) expect(await flag(name, comb).count()).toBe(1)
    await page.getByRole('button', { name: new RegExp(`show finding ${comb}$`) }).click()
    expect(await panel(page).textContent()).toContain('first notch at 500 Hz')
    await picture('stack-check-table')

    // Heard before it is taken: the stack as it is on one side, without the comb on the other, equally loud.
    await page.getByRole('button', { name: 'Try', exact: true }).click()
    await page.getByRole('radio', { name: 'With', exact: true }).waitFor()
    await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
    expect(layerOf('Double 1 copy').offsetSamples).toBe(48)
    await page.getByRole('button', { name: 'End try' }).click()
    await page.getByRole('radio', { name: 'Processed', exact: true }).waitFor()

    await page.getByRole('button', { name: 'Move it' }).click()
    await expect.poll(() => layerOf('Double 1 copy').offsetSamples).toBe(0)
    await expect.poll(() => stateOf(page).textContent()).toMatch(/before the last change$/)
    expect(await page.getByRole('button', { name: 'Move it' }).isDisabled()).toBe(true)
    await page.keyboard.press('Control+z')
    await expect.poll(() => layerOf('Double 1 copy').offsetSamples).toBe(48)
    await expect.poll(() => stateOf(page).textContent()).toMatch(/findings$/)

    // By key, and a bell goes into the draft of the doubles' chain.
    await rowOf(page, 'Lead').focus()
    for (let steps = 0; steps < 30; steps++) {
      await page.keyboard.press('f')
      if ((await page.locator('.check-finding .check-number').textContent()) === '1') break
    }
    await page.getByRole('button', { name: 'Open chain with it' }).click()
    await page.getByRole('button', { name: /^Tone.*, stage/ }).waitFor()
    expect(await page.locator('.chain-place').textContent()).toContain('Doubles')
    expect(complaints).toEqual([])
  })
})
