// A day's takes in Intake: one line each, several at once, by mouse and by keyboard; an empty catalogue; what
// belongs to a session stays there.

import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { sha256Of } from '../db/entries.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const NAMES = ['Verse lead', 'Verse dbl L', 'Hook harm low', 'adlibs', 'take']
/** Rows of one line at 1280 x 800, as a practitioner wants to see a day's takes. */
const LEAST_ROWS = 16

/** A session of an artist with one voice and `count` takes, of which only the first has sound. */
async function fill(workplace: Workplace, folder: string, count: number, songTitle = 'Invented Song') {
  const { catalogue, now } = workplace
  const acts = createHandlers(workplace)
  const artist =
    catalogue.artists.list()[0] ?? (await acts.createArtist({ name: 'Invented Artist', note: '' }, context))
  const session = await acts.createSession({ ...SESSION_FIELDS, artistId: artist.id, songTitle }, context)
  const path = writeTake(join(folder, `${songTitle}.wav`), [
    whiteNoise(48_000, catalogue.sessions.list().length, 0.2),
  ])
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
    context,
  )
  const { id, copies: _, ...fields } = takes[0]
  catalogue.takes.update(id, { name: `${NAMES[0]} 1` })
  catalogue.transaction(() => {
    for (let n = 2; n <= count; n++) {
      const integratedLufs = -40 + ((n * 7) % 23)
      // No sound, but there: a missing file is shown.
      writeFileSync(join(folder, `${songTitle} ${n}.wav`), `${songTitle} ${n}`)
      const take = catalogue.takes.insert({
        ...fields,
        name: `${NAMES[(n - 1) % NAMES.length]} ${n}`,
        sha256: sha256Of(`${songTitle} ${n}`),
        sizeBytes: Buffer.byteLength(`${songTitle} ${n}`),
        path: join(folder, `${songTitle} ${n}.wav`),
        facts: { ...fields.facts, integratedLufs },
        importedAt: now(),
      })
      catalogue.takes.linkToSession(session.id, take.id)
    }
  })
  return session
}

const takeRow = (page: Page, name: string) =>
  page.getByRole('grid', { name: 'Takes' }).getByRole('row', { name: new RegExp(`${name}$|${name} `) })
const selectedRows = (page: Page) => page.locator('.take-body [role="row"][data-selected]')
const namesOf = async (page: Page): Promise<string[]> =>
  (await page.locator('.take-body .take-name').allTextContents()).filter((name) => name !== '')

/** Rows of the table that are wholly visible. */
const rowsInView = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const view = document.querySelector('.take-scroll')?.getBoundingClientRect()
    return [...document.querySelectorAll('.take-body [role="row"]')].filter((row) => {
      const { top, bottom } = row.getBoundingClientRect()
      return view !== undefined && top >= view.top + 40 && bottom <= view.bottom
    }).length
  })
const isInView = (page: Page, name: string): Promise<boolean> =>
  takeRow(page, name).evaluate((row) => {
    const view = document.querySelector('.take-scroll')!.getBoundingClientRect()
    const { top, bottom } = row.getBoundingClientRect()
    return top >= view.top && bottom <= view.bottom + 1
  })

describe.skipIf(!haveMaterial(CHROMIUM))('Intake with a day of takes', () => {
  it('shows many at once, sorts, selects several, and places, sets and removes them as one step each', async () => {
    const { page, workplace, folder, complaints, picture } = await openWindow()
    const session = await fill(workplace, folder, 500)
    const acts = createHandlers(workplace)
    await acts.createMic({ name: 'Invented mic', serial: '', pattern: 'cardioid', note: '' }, context)
    await reloadWindow(page)
    await takeRow(page, 'Verse lead 1').waitFor()
    expect(await rowsInView(page)).toBeGreaterThanOrEqual(LEAST_ROWS)
    // Only what is near the view is drawn.
    expect(await page.locator('.take-body [role="row"]').count()).toBeLessThan(60)
    await picture('intake-1-many')

    // Sorting, by pointer and by keyboard.
    const heading = page.getByRole('columnheader', { name: /^Loudness/ })
    await heading.click()
    expect(await heading.getAttribute('aria-sort')).toBe('ascending')
    const loudest = () => page.locator('.take-body .column-loudness').first().textContent()
    expect(await loudest()).toBe('−40.0')
    await heading.press('Enter')
    expect(await heading.getAttribute('aria-sort')).toBe('descending')
    expect(await loudest()).not.toBe('−40.0')
    await page.getByRole('columnheader', { name: 'No.' }).click()

    // A range with Shift, one more with Ctrl, then all.
    await takeRow(page, 'Verse dbl L 2').click()
    await takeRow(page, 'take 5').click({ modifiers: ['Shift'] })
    await takeRow(page, 'adlibs 9').click({ modifiers: ['ControlOrMeta'] })
    await expect.poll(() => selectedRows(page).count()).toBe(5)
    await page.getByRole('heading', { name: '5 takes selected' }).waitFor()

    // One mic for all of them, in one step.
    await page.getByRole('button', { name: /Mic$/ }).last().click()
    await page.getByRole('option', { name: 'Invented mic' }).click()
    const takes = () => workplace.catalogue.takes.listOfSession(session.id)
    await expect.poll(() => takes().filter(({ micId }) => micId !== null).length).toBe(5)
    await page.getByRole('button', { name: 'Undo mic of 5 takes' }).click()
    await expect.poll(() => takes().filter(({ micId }) => micId !== null).length).toBe(0)

    // By keyboard: four more, and the unknown role is asked.
    await takeRow(page, 'Verse dbl L 2').click()
    for (let n = 0; n < 3; n++) await page.keyboard.press('Shift+ArrowDown')
    await expect.poll(() => selectedRows(page).count()).toBe(4)
    await page.keyboard.press('Enter')
    const dialog = page.getByRole('dialog', { name: 'Place takes' })
    await dialog.getByText('The name of 1 take tells no role').waitFor()
    await picture('intake-2-asked')
    await dialog.getByRole('button', { name: 'Place 3 takes' }).click()
    const placed = () => {
      const groups = new Map(
        workplace.catalogue.groups.listOfSession(session.id).map(({ id, name }) => [id, name]),
      )
      return workplace.catalogue.layers
        .listOfSession(session.id)
        .map(({ role, groupId }) => `${role} in ${groups.get(groupId)}`)
    }
    await expect.poll(placed).toEqual(['double in Doubles', 'harmony in Harmonies', 'ad-lib in Ad-libs'])
    await page.getByRole('button', { name: 'Undo place 3 takes' }).click()
    await expect.poll(placed).toEqual([])
    expect(workplace.catalogue.groups.listOfSession(session.id)).toHaveLength(3)

    // All but the placed ones are removed, and come back.
    await takeRow(page, 'Verse lead 1').click()
    await page.keyboard.press('Control+a')
    await page.getByRole('heading', { name: '500 takes selected' }).waitFor()
    await page.keyboard.press('Delete')
    await page.getByText('No takes yet').waitFor()
    await page.keyboard.press('Control+z')
    await expect.poll(() => takes().length).toBe(500)
    expect(complaints.filter((one) => !one.startsWith('Failed to load resource'))).toEqual([])
  })

  it('is one Tab stop, brings what is selected elsewhere into view, and keeps its state in its session', async () => {
    const { page, workplace, folder } = await openWindow()
    await fill(workplace, folder, 30, 'Other Song')
    await fill(workplace, folder, 60)
    await reloadWindow(page)
    const choose = async (song: string) => {
      await page
        .getByRole('button', { name: /Session$/ })
        .first()
        .click()
      await page.getByRole('option', { name: new RegExp(song) }).click()
    }
    await choose('Invented Song')
    await takeRow(page, 'Verse lead 1').click()

    // One stop from the filter to the table, one from the table to the sheet.
    await page.keyboard.press('f')
    const focus = () =>
      page.evaluate(() => {
        const at = document.activeElement
        return (
          at?.closest('.take-filter, .take-table, .take-sheet, .batch-bar')?.classList[0] ?? at?.className
        )
      })
    await expect.poll(() => page.evaluate(() => document.activeElement?.tagName)).toBe('INPUT')
    await page.keyboard.press('Tab')
    await page.keyboard.press('Tab')
    expect(await focus()).toBe('take-table')
    await page.keyboard.press('Tab')
    expect(await focus()).toBe('take-sheet')
    await page.keyboard.press('Shift+Tab')
    expect(await focus()).toBe('take-table')

    // A take that is added from earlier ones is the first of the list, which is scrolled to its end.
    await page.evaluate(() => document.querySelector('.take-scroll')!.scrollBy(0, 10_000))
    await takeRow(page, 'take 60').waitFor()
    await page.getByRole('button', { name: 'Earlier takes' }).click()
    await page.keyboard.type('other song harm 28')
    const found = page.getByRole('dialog').getByRole('row')
    await expect.poll(() => found.count()).toBe(1)
    expect(await found.locator('mark').allTextContents()).toEqual(['harm', '28', 'Other', 'Song'])
    await page.getByRole('button', { name: /^Add Hook harm low 28/ }).click()
    await page.getByRole('dialog').getByText('in this session').waitFor()
    await page.keyboard.press('Escape')
    await expect
      .poll(() => selectedRows(page).allTextContents())
      .toEqual([expect.stringMatching(/^1Hook harm low 28/)])
    expect(
      await selectedRows(page)
        .first()
        .evaluate((row) => {
          const view = document.querySelector('.take-scroll')!.getBoundingClientRect()
          const { top, bottom } = row.getBoundingClientRect()
          return top >= view.top && bottom <= view.bottom + 1
        }),
    ).toBe(true)

    // Unfolding the details makes the table small: what is selected stays in view.
    await takeRow(page, 'Verse lead 6').scrollIntoViewIfNeeded()
    await page.getByPlaceholder(/^Name, finding/).fill('dbl')
    await expect.poll(async () => new Set(await namesOf(page)).size).toBe(12)
    await page.getByRole('columnheader', { name: /^Take/ }).click()
    await takeRow(page, 'Verse dbl L 57').click()
    await page.getByRole('button', { name: 'Details' }).click()
    await expect.poll(() => isInView(page, 'Verse dbl L 57')).toBe(true)
    await page.getByRole('button', { name: 'Details' }).click()

    await choose('Other Song')
    await page.getByRole('heading', { name: 'Verse lead 1' }).waitFor()
    expect(await page.getByPlaceholder(/^Name, finding/).inputValue()).toBe('')
    expect(await page.getByRole('columnheader', { name: /^Take/ }).getAttribute('aria-sort')).toBe('none')
    await choose('Invented Song')
    await page.getByRole('heading', { name: 'Verse dbl L 57' }).waitFor()
    expect(await page.getByPlaceholder(/^Name, finding/).inputValue()).toBe('dbl')
    await expect.poll(() => isInView(page, 'Verse dbl L 57')).toBe(true)
  })
})

describe.skipIf(!haveMaterial(CHROMIUM))('Intake of an empty catalogue', () => {
  it('makes a voice and a mic where they are needed, and reports an import in one line of its session', async () => {
    const { page, workplace, folder, picture } = await openWindow('', {
      viewport: { width: 1024, height: 700 },
    })
    const acts = createHandlers(workplace)
    const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
    for (const songTitle of ['First Song', 'Second Song']) {
      await acts.createSession({ ...SESSION_FIELDS, artistId: artist.id, songTitle }, context)
    }
    await reloadWindow(page)
    for (const caption of ['Voice for import', 'Mic for import', 'Curve for import']) {
      await page.getByText(caption, { exact: true }).waitFor()
    }
    await page.getByRole('button', { name: /Voice for import$/ }).click()
    await page.getByRole('option', { name: 'New voice…' }).click()
    await page.getByLabel('Name').fill('Rap')
    await page.keyboard.press('Enter')
    await page.getByRole('button', { name: 'Rap Voice for import' }).waitFor()
    await page.getByRole('button', { name: /Mic for import$/ }).click()
    await page.getByRole('option', { name: 'New mic…' }).click()
    await page.getByLabel('Name').fill('Invented mic')
    await page.keyboard.press('Enter')
    await page.getByRole('button', { name: 'Invented mic Mic for import' }).waitFor()
    await picture('intake-3-empty')

    // A mic's only curve is taken by itself.
    const [mic] = workplace.catalogue.mics.list()
    await acts.createCurve(
      {
        micId: mic.id,
        name: 'On axis',
        source: 'own',
        pattern: 'cardioid',
        distanceM: null,
        note: '',
        points: { frequenciesHz: [100, 1000, 5000], levelsDb: [0, 0, 0] },
        picture: null,
      },
      context,
    )
    await page.getByRole('button', { name: 'Invented mic Mic for import' }).click()
    await page.getByRole('option', { name: 'No mic' }).click()
    await page.getByRole('button', { name: /Mic for import$/ }).click()
    await page.getByRole('option', { name: 'Invented mic' }).click()
    await page.getByRole('button', { name: 'On axis Curve for import' }).waitFor()

    const good = writeTake(join(folder, 'Hook lead.wav'), [whiteNoise(48_000, 3, 0.2)])
    const files = [good, ...['a.wav', 'b.wav'].map((name) => join(folder, name))]
    const { writeFileSync } = await import('node:fs')
    for (const broken of files.slice(1)) writeFileSync(broken, 'no sound')
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Import takes' }).click()
    await (await chooser).setFiles(files)
    const report = page.getByRole('region', { name: 'Import report' })
    await report.getByRole('button', { name: '2 problems' }).click()
    expect(await report.getByRole('listitem').count()).toBe(2)
    await picture('intake-4-report')
    await page
      .getByRole('button', { name: /Session$/ })
      .first()
      .click()
    await page.getByRole('option', { name: /First Song/ }).click()
    await page.getByText('No takes yet').waitFor()
    expect(await report.count()).toBe(0)
    const take = workplace.catalogue.foundTakes.list({ search: 'hook', limit: 9, offset: 0 })
    expect(take).toMatchObject([{ voiceName: 'Rap', micName: 'Invented mic' }])
  })
})
