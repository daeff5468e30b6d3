// Behaviour of the window: undo of removals, the folder dialog, rejected values, the recall sheet, stack
// levels, notices that cover no control, keyboard shortcuts, and comparing a single stage.

import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIPS = ['Front_Center', 'Rear_Left'].map((name) => `/usr/share/sounds/alsa/${name}.wav`)
const CAPTURED_FRAMES = 24_000
const FIRST_TRIM_DB = -12
const SECOND_TRIM_DB = -6

/** A session with both clips in one group, and a chain of two trims. */
async function fill(workplace: Workplace) {
  const { catalogue, now } = workplace
  const acts = createHandlers(workplace)
  const artist = catalogue.artists.insert({ name: 'Invented Artist', note: '' }, now())
  const voice = catalogue.voices.insert({ artistId: artist.id, name: 'Spoken', note: '' }, now())
  const session = await acts.createSession(
    {
      ...SESSION_FIELDS,
      artistId: artist.id,
      songTitle: 'Invented Song',
      date: '2026-11-25',
      tempoBpm: 120,
    },
    context,
  )
  const { takes } = await acts.importTakes(
    {
      sessionId: session.id,
      files: CLIPS.map((path) => ({ path })),
      voiceId: voice.id,
      micId: null,
      curveId: null,
    },
    context,
  )
  const [lead] = catalogue.groups.listOfSession(session.id)
  for (const take of takes) {
    await acts.addLayer(
      {
        sessionId: session.id,
        groupId: lead.id,
        takeId: take.id,
        name: take.name,
        role: 'lead',
        offsetSamples: 0,
        gainDb: -3,
        pan: 0,
        muted: false,
      },
      context,
    )
  }
  const stages = [FIRST_TRIM_DB, SECOND_TRIM_DB].map((gainDb) => ({
    ...defaultStages.trim,
    settings: { gainDb, invertPolarity: false },
  }))
  const version = await acts.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Two trims', stages, note: '' },
    context,
  )
  await acts.updateGroup({ id: lead.id, changes: { chainVersionId: version.id } }, context)
  return { session, lead }
}

/** Names of the controls that an element covers. */
const coveredBy = (page: Page, selector: string): Promise<string[]> =>
  page.evaluate((wanted) => {
    const over = [...document.querySelectorAll(wanted)]
    const controls = [...document.querySelectorAll('button, input, [role="slider"]')].filter((control) =>
      over.every((one) => !one.contains(control)),
    )
    return controls
      .filter((control) => {
        const box = control.getBoundingClientRect()
        const top = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2)
        return over.some((one) => one.contains(top))
      })
      .map((control) => control.getAttribute('aria-label') ?? control.textContent ?? '')
  }, selector)

/**
 * Runs in the page and stands in for the preload script: messages go over a socket, and the folder dialog is
 * cancelled the first time and returns a folder the second time.
 */
function standInForPreload(): void {
  const key = localStorage.getItem('takeloft.page-key') ?? ''
  const socket = new WebSocket(`${location.origin.replace('http', 'ws')}/port`, ['takeloft', key])
  const isOpen = new Promise((resolve) => socket.addEventListener('open', resolve))
  const choices = [null, '/music/stems']
  Object.assign(window, {
    takeloftBridge: {
      post: (message: unknown) => void isOpen.then(() => socket.send(JSON.stringify(message))),
      listen(hear: (message: unknown) => void) {
        const onMessage = ({ data }: MessageEvent): void => hear(JSON.parse(data))
        socket.addEventListener('message', onMessage)
        return () => socket.removeEventListener('message', onMessage)
      },
      pathForFile: () => '',
      async chooseFolder(from: string) {
        document.documentElement.dataset.askedFrom = from
        return choices.shift() ?? null
      },
    },
  })
}

/** Clicks, because shortcuts work only once the window is ready. */
const goTo = (page: Page, place: string): Promise<void> =>
  page.getByRole('button', { name: place, exact: true }).click()

/** Waits for playback: the transport shows the loudness match once it has started. */
const playing = (page: Page): Promise<void> => page.locator('.message-line').getByText(/equal/).waitFor()

const levelDb = (x: readonly number[]): number =>
  10 * Math.log10(x.reduce((sum, one) => sum + one * one, 0) / x.length)

describe.skipIf(!haveMaterial(CHROMIUM, ...CLIPS))('behaviour of the window', () => {
  it('removes a group with its layers, and undo restores them with the same ids', async () => {
    const { page, workplace, complaints } = await openWindow()
    const { session } = await fill(workplace)
    const stack = () => {
      const { groups, layers } = workplace.catalogue
      return [groups.listOfSession(session.id), layers.listOfSession(session.id)]
    }
    const before = stack()
    await reloadWindow(page)
    await goTo(page, 'Stack')

    await page.getByRole('button', { name: 'More for group Lead' }).click()
    await page.getByRole('menuitem', { name: 'Remove group with 2 layers' }).click()
    await expect.poll(() => stack().map((list) => list.length)).toEqual([2, 0])
    // The next group gets the focus.
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.ariaLabel))
      .toBe('Name of group Doubles')
    await page.getByRole('button', { name: 'Undo remove group Lead' }).click()
    await expect.poll(stack).toEqual(before)

    await page.getByRole('button', { name: 'Add group' }).click()
    await expect.poll(() => stack()[0].length).toBe(4)
    await page.getByRole('button', { name: 'Undo add Group 4' }).click()
    await expect.poll(stack).toEqual(before)
    expect(complaints).toEqual([])
  })

  it('asks the shell for a folder where it has a dialog, and keeps the typed folder when that is cancelled', async () => {
    const { page, workplace, picture } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Stack')
    await page.getByRole('button', { name: 'Bounce', exact: true }).click()
    await page.getByLabel('Folder').waitFor()
    // A browser has no folder dialog.
    expect(await page.getByRole('button', { name: 'Choose…' }).count()).toBe(0)

    await page.addInitScript(standInForPreload)
    await reloadWindow(page)
    await goTo(page, 'Stack')
    await page.getByRole('button', { name: 'Bounce', exact: true }).click()
    const field = page.getByLabel('Folder')
    const offered = await field.inputValue()
    await page.getByRole('button', { name: 'Choose…' }).click()
    await expect.poll(() => page.evaluate(() => document.documentElement.dataset.askedFrom)).toBe(offered)
    expect(await field.inputValue()).toBe(offered)
    await page.getByRole('button', { name: 'Choose…' }).click()
    await expect.poll(() => field.inputValue()).toBe('/music/stems')
    await picture('manners-folder')
  })

  it('explains a rejected value long enough to be read, without moving rows', async () => {
    const { page, workplace, complaints } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Stack')
    const pan = page.getByRole('spinbutton', { name: 'Pan of Rear_Left' })
    const complaint = page.getByText('"150" is not valid. Type L 30, C or R 30.')
    const places = () =>
      page.locator('.layer-row').evaluateAll((rows) => rows.map((row) => row.getBoundingClientRect().top))
    await pan.waitFor()
    const before = await places()

    await pan.fill('150')
    await pan.press('Enter')
    await complaint.waitFor()
    expect(await places()).toEqual(before)
    await pan.press('Tab')
    await complaint.waitFor({ state: 'detached' })
    expect(await pan.inputValue()).toBe('C')

    // If leaving the field causes the rejection, the message stays until the next edit.
    await pan.fill('150')
    await pan.press('Tab')
    await complaint.waitFor()
    await pan.fill('')
    await pan.press('Tab')
    await complaint.waitFor({ state: 'detached' })
    expect(await pan.inputValue()).toBe('C')

    const gain = page.getByRole('spinbutton', { name: 'Gain of Rear_Left' })
    await gain.fill('loud')
    await gain.press('Enter')
    await page.getByText('"loud" is not a level. Type a number in dB.').waitFor()
    await gain.press('Escape')
    await page.getByRole('button', { name: 'Session', exact: true }).click()
    await page.getByRole('spinbutton', { name: 'Tempo' }).fill('fast')
    await page.keyboard.press('Enter')
    await page.getByText('"fast" is not a tempo. Type a number in BPM.').waitFor()
    expect(complaints).toEqual([])
  })

  it('prints only the recall sheet, and opens a session from the ledger', async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    const { session } = await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Ledger')
    await page.getByRole('button', { name: 'Recall sheet for this session' }).click()
    const sheet = page.getByRole('dialog', { name: 'Recall sheet' })
    const words = async () => ((await sheet.textContent()) ?? '').replaceAll(/\s/g, ' ').replaceAll('−', '-')
    await sheet.getByRole('cell', { name: 'Rear_Left' }).first().waitFor()
    expect(await words()).toMatch(/Invented Song.*Invented Artist, Nov 25, 2026.*48 kHz.*120 BPM, 4\/4/)
    expect(await words()).toMatch(/LeadFront_Centerlead.*-3\.0 dBC/)
    expect(await words()).toMatch(/Lead: Two trims, version 1.*Trim: Gain -12\.0 dB; Polarity as recorded/)
    const { takes } = await createHandlers(workplace).openSession({ id: session.id }, context)
    expect(await words()).toContain(takes[0].sha256.slice(0, 12))
    await page.emulateMedia({ media: 'print' })
    await picture('manners-recall-printed')
    expect(await page.getByRole('button').filter({ visible: true }).count()).toBe(0)
    expect(await sheet.getByText('Two trims, version 1').isVisible()).toBe(true)
    await page.emulateMedia({ media: null })
    await sheet.getByRole('button', { name: 'Close' }).click()

    await createHandlers(workplace).createSession(
      { ...session, artistId: session.artistId, songTitle: 'Later Song', date: '2026-11-26' },
      context,
    )
    await reloadWindow(page)
    await page
      .getByRole('button', { name: /Session$/ })
      .first()
      .click()
    await page.getByRole('option', { name: /Later Song/ }).click()
    await goTo(page, 'Ledger')
    await page.getByRole('searchbox', { name: 'Search the history' }).fill('Rear_Left')
    await page.getByRole('button', { name: 'Open Rear_Left' }).click()
    await page.getByRole('row', { name: /Rear_Left/ }).waitFor()
    expect(
      await page
        .getByRole('button', { name: /Session$/ })
        .first()
        .textContent(),
    ).toContain('Invented Song')
    expect(complaints).toEqual([])
  })

  it('measures the stack: loudness, peaks and mono', async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    const { session } = await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Stack')
    await page.getByRole('button', { name: 'Measure', exact: true }).click()
    const dialog = page.getByRole('dialog', { name: 'Stack levels: Invented Song' })
    await dialog.getByRole('list', { name: 'Mono compatibility' }).waitFor()
    const measured = await createHandlers(workplace).measureStack({ sessionId: session.id }, context)
    const words = ((await dialog.textContent()) ?? '').replaceAll(/\s/g, ' ').replaceAll('−', '-')
    expect(words).toContain(`Integrated loudness${measured.integratedLufs!.toFixed(1)} LUFS`)
    expect(words).toContain(`True peak${measured.truePeakDbtp!.toFixed(1)} dBTP`)
    // Both clips are panned to the centre.
    expect(words).toMatch(/Mono fold-down loss0\.0 dB.*survives mono: it loses 0\.0 dB/)
    await picture('manners-stack-measured')
    await page.keyboard.press('Escape')
    await expect.poll(() => page.evaluate(() => document.activeElement?.textContent)).toBe('Measure')
    expect(complaints).toEqual([])
  })

  it('shows failures in any place without covering a control', async () => {
    const { page, workplace } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Chain')
    const importBroken = async (name: string): Promise<void> => {
      const chooser = page.waitForEvent('filechooser')
      await page.getByRole('button', { name: 'More for this chain' }).click()
      await page.getByRole('menuitem', { name: 'Import chain file' }).click()
      await (await chooser).setFiles({ name, mimeType: 'application/json', buffer: Buffer.from('{') })
    }
    await importBroken('no-chain.json')
    await page.getByRole('alert').waitFor()
    for (const place of ['1', '3', '4']) {
      await page.keyboard.press(place)
      await page.getByRole('alert').waitFor()
      expect(await coveredBy(page, '.notice, .message-line')).toEqual([])
    }
    // Several share the line of one, which opens and goes away.
    const heightPx = async () => (await page.locator('.notice-lines').boundingBox())?.height ?? 0
    const onePx = await heightPx()
    for (const name of ['second.json', 'third.json', 'third.json']) await importBroken(name)
    await page.getByText('3 problems.').waitFor()
    expect(await heightPx()).toBeLessThanOrEqual(onePx + 2)
    await page.getByRole('button', { name: 'Show', exact: true }).click()
    const problems = page.getByRole('list', { name: 'Problems' }).getByRole('listitem')
    await problems.filter({ hasText: /third\.json.*2 times/ }).waitFor()
    await problems
      .filter({ hasText: 'second.json' })
      .getByRole('button', { name: /^Dismiss/ })
      .click()
    await page.getByText('2 problems.').waitFor()
    await page.getByRole('button', { name: 'Dismiss all' }).click()
    await page.getByRole('alert').waitFor({ state: 'hidden' })
  })

  it('goes to the start of the loop or the song with Home, and shows all keys with ?', async () => {
    const { page, workplace } = await openWindow()
    await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Stack')
    const position = page.getByRole('slider', { name: 'Position', exact: true })
    await page.getByRole('button', { name: 'Play stack' }).click()
    await playing(page)
    await page.getByRole('button', { name: 'Stop' }).click()
    const ruler = (await page.locator('.ruler').boundingBox())!
    await page.mouse.move(ruler.x + 60, ruler.y + 20)
    await page.mouse.down()
    await page.mouse.move(ruler.x + 160, ruler.y + 20, { steps: 4 })
    await page.mouse.up()
    await page.keyboard.press('Home')
    await expect.poll(() => position.getAttribute('aria-valuetext')).not.toBe('0:00.000')
    await page.locator('.ruler').press('Escape')
    await page.keyboard.press('Home')
    await expect.poll(() => position.getAttribute('aria-valuetext')).toBe('0:00.000')

    await page.keyboard.press('?')
    await page
      .getByRole('dialog', { name: 'Keys' })
      .getByText('Go to the start, or to the loop start')
      .waitFor()
    await page.getByText('Enable single-key shortcuts').click()
    await page.keyboard.press('Escape')
    await page.keyboard.press('1')
    await page.getByRole('main', { name: 'Stack' }).waitFor()
  })

  it('compares a stage with the stages before it: a trim of -6 dB after one of -12 dB', async () => {
    const { page, workplace, complaints } = await openWindow('capture')
    await fill(workplace)
    await reloadWindow(page)
    await goTo(page, 'Chain')
    await page.getByRole('button', { name: /^Trim.*stage 2 of 2/ }).click()
    // Looped, because on a busy machine the clip could end before the capture begins.
    await page.keyboard.press('l')
    await page.keyboard.press('s')
    await playing(page)
    await page.getByRole('radio', { name: 'Before' }).waitFor()
    await page.getByRole('radio', { name: 'After' }).waitFor()
    const read = await page.evaluate(async (frames) => {
      const span = await window.takeloftCapture?.record(frames)
      if (span === undefined) throw new Error('this page has no capture')
      return span.read.map((channel) => [...channel])
    }, CAPTURED_FRAMES)
    expect(levelDb(read[0])).toBeGreaterThan(-70)
    // The sides differ only by the second trim; the error of 32-bit floats is far below this tolerance.
    expect(levelDb(read[2]) - levelDb(read[0])).toBeCloseTo(SECOND_TRIM_DB, 3)
    expect(complaints).toEqual([])
  })
})
