// Missing takes in the window: said where they are used, found again in a folder or one by one, undone; and takes
// with time stamps, which fall into place or are asked about.

import { mkdirSync, renameSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { ffmpeg } from '../audio/outside-tools.ts'
import { hasTool, haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, type OpenWindow, openWindow, reloadWindow } from './open-window.ts'

async function sessionOf({ workplace }: OpenWindow, paths: readonly string[]) {
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  const { takes } = await acts.importTakes(
    {
      sessionId: session.id,
      files: paths.map((path) => ({ path })),
      voiceId: null,
      micId: null,
      curveId: null,
    },
    context,
  )
  return { acts, session, takes }
}

const goTo = (page: Page, place: string) => page.getByRole('button', { name: place, exact: true }).click()
const row = (page: Page, name: string) =>
  page.getByRole('grid', { name: 'Takes' }).getByRole('row', { name: new RegExp(name) })

describe.skipIf(!haveMaterial(CHROMIUM))('missing takes', () => {
  it('are shown in Intake, Stack, transport and bounce, and found again', async () => {
    const opened = await openWindow()
    const { page, folder, workplace, complaints, picture } = opened
    const paths = ['Verse lead', 'Verse dbl', 'Hook lead'].map((name, seed) =>
      writeTake(join(folder, `${name}.wav`), [whiteNoise(96_000, seed + 1, 0.2)]),
    )
    const { acts, session, takes } = await sessionOf(opened, paths)
    const { catalogue } = workplace
    const [group] = catalogue.groups.listOfSession(session.id)
    for (const take of takes) {
      await acts.addLayer(
        {
          ...{ sessionId: session.id, groupId: group.id, takeId: take.id, name: take.name, role: 'lead' },
          ...{ offsetSamples: 0, gainDb: 0, pan: 0, muted: false },
        },
        context,
      )
    }
    mkdirSync(join(folder, 'moved'))
    const moved = paths.slice(0, 2).map((path, n) => {
      const to = join(folder, 'moved', `renamed ${n}.wav`)
      renameSync(path, to)
      return to
    })
    await reloadWindow(page)

    await goTo(page, 'Stack')
    await page.getByRole('row', { name: 'Verse lead, file missing' }).waitFor()
    await page.getByText('2 takes are missing').waitFor()
    await picture('missing-1-stack')
    await page.getByRole('button', { name: 'Play', exact: true }).click()
    await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
    await page.getByRole('button', { name: 'Stop', exact: true }).click()
    await page.getByRole('button', { name: /^Bounce/ }).click()
    const bounce = page.getByRole('dialog', { name: 'Bounce Invented Song' })
    await bounce.getByText('2 takes are missing: Verse lead, Verse dbl.').waitFor()
    expect(await bounce.getByRole('button', { name: 'Bounce', exact: true }).isDisabled()).toBe(true)
    await picture('missing-2-bounce')
    await bounce.getByRole('button', { name: 'Find missing takes…' }).click()

    // One by one: another recording is refused, and offered as a new take.
    const dialog = page.getByRole('dialog', { name: 'Find missing takes' })
    await dialog.getByRole('button', { name: 'Find file of Verse dbl…' }).click()
    const other = writeTake(join(folder, 'other.wav'), [whiteNoise(48_000, 9, 0.2)])
    await dialog.getByRole('textbox', { name: 'File of Verse dbl' }).fill(other)
    await page.keyboard.press('Enter')
    await dialog.getByText('it is 1.000 s long, and the take 2.000 s').waitFor()
    await dialog.getByRole('button', { name: 'Import it as a new take' }).waitFor()
    await picture('missing-3-refused')
    await dialog.getByRole('textbox', { name: 'File of Verse dbl' }).fill(moved[1])
    await page.keyboard.press('Enter')
    await dialog.getByText('The file of 1 take is not where it was').waitFor()

    // The rest in a folder.
    await dialog.getByRole('textbox', { name: /^Folder to search/ }).fill(folder)
    await page.keyboard.press('Enter')
    await dialog.getByText(/^1 of 1 take found among/).waitFor()
    await dialog.getByText('Every take of this session has its file.').waitFor()
    await dialog.getByRole('button', { name: 'Close' }).click()
    await page.getByRole('row', { name: 'Verse lead', exact: true }).waitFor()
    expect(await page.getByText('takes are missing').count()).toBe(0)

    // Undone, it is missing again.
    await goTo(page, 'Intake')
    await page.getByRole('button', { name: 'Undo find Verse lead' }).click()
    await row(page, 'Verse lead').getByText('file missing').waitFor()
    await page.getByText('1 take is missing: its file is not where it was.').waitFor()
    await row(page, 'Verse lead').click()
    await picture('missing-4-intake')
    await page.getByRole('button', { name: 'Find file…' }).click()
    await page.getByRole('textbox', { name: 'File of Verse lead' }).waitFor()
    await picture('missing-5-file')
    await page.keyboard.press('Escape')
    await page.getByRole('button', { name: 'Redo find Verse lead' }).click()
    await expect.poll(() => page.locator('.take-missing').count()).toBe(0)
    expect(complaints).toEqual([])
  })
})

describe.skipIf(!haveMaterial(CHROMIUM) || !hasTool('ffmpeg'))('stamped takes', () => {
  it('fall into place; those outside the song are asked about, also with a new start', async () => {
    const opened = await openWindow()
    const { page, folder, workplace, complaints, picture } = opened
    // 1 h and 17 bars of 4/4 at 90 BPM; two after nine in the morning, half a second apart.
    const stamps = [3600 + (17 * 4 * 60) / 90, 35_892.25, 35_892.75]
    const paths = stamps.map((seconds, n) => {
      const path = join(folder, `Verse lead ${n + 1}.wav`)
      ffmpeg(
        ...['-f', 'lavfi', '-i', `sine=${300 + n}:sample_rate=44100:duration=1`],
        ...['-metadata', `time_reference=${Math.round(seconds * 44_100)}`, '-write_bext', '1', path],
      )
      return path
    })
    const { session } = await sessionOf(opened, paths)
    const offsets = () =>
      workplace.catalogue.layers
        .listOfSession(session.id)
        .map(({ offsetSamples }) => offsetSamples)
        .toSorted((a, b) => a - b)
    await reloadWindow(page)
    await row(page, 'Verse lead 1').getByText('01:00:45.333').waitFor()
    await row(page, 'Verse lead 1').click()
    await page.getByText(/Time stamp 01:00:45\.333, bar 18\.1\.00/).waitFor()
    await picture('stamps-1-sheet')

    // Only the two from the morning: the session can start there.
    await row(page, 'Verse lead 2').click()
    // Not by Shift: rows stand in the order in which their imports ended, so the first could lie between the two.
    await row(page, 'Verse lead 3').click({ modifiers: ['Control'] })
    await page.keyboard.press('Enter')
    const dialog = page.getByRole('dialog', { name: 'Place takes' })
    await dialog
      .getByText('The time stamps of 2 takes are outside the song, which starts at 01:00:00.')
      .waitFor()
    await dialog.getByText('09:58:12.250, 8 h 58 min after the start').waitFor()
    await picture('stamps-2-asked')
    await dialog.getByText('Start the session at 09:58:12 instead').click()
    await picture('stamps-3-moved')
    await dialog.getByRole('button', { name: 'Place 2 takes' }).click()
    await expect.poll(offsets).toEqual([12_000, 36_000])
    expect(workplace.catalogue.sessions.get(session.id).startOfDayS).toBe(35_892)
    await page.getByRole('button', { name: /^Undo place 2 takes/ }).click()
    await expect.poll(offsets).toEqual([])
    await expect.poll(() => workplace.catalogue.sessions.get(session.id).startOfDayS).toBe(3600)

    // The first falls into place without a question; then the start is not offered again.
    await row(page, 'Verse lead 1').click()
    await page.keyboard.press('Enter')
    await expect.poll(offsets).toEqual([2_176_000])
    await row(page, 'Verse lead 2').click()
    await page.keyboard.press('Enter')
    await dialog.getByText('The time stamp of 1 take is outside').waitFor()
    expect(await dialog.getByText('Start the session at').count()).toBe(0)
    await dialog.getByRole('button', { name: /^Place of Verse lead 2|At the session’s start/ }).click()
    await page.getByRole('option', { name: 'At its time stamp' }).click()
    await dialog.getByRole('button', { name: 'Place 1 take' }).click()
    await expect.poll(offsets).toEqual([2_176_000, (35_892.25 - 3600) * 48_000])
    expect(complaints).toEqual([])
  })
})
