// The artist returns in six weeks on another mic: from the start page to a sounding stack of four files, with the
// chain, groups, gains and pans of then, in at most five clicks and a minute. It ends in a delivery that verifies, and
// the bounce of then still does.

import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

/** What the person may press until the stack sounds; what is typed, and Space to play, are no clicks. */
const MOST_CLICKS = 5
const HEARD_FRAMES = 24_000
const NAMES = ['lead', 'double L', 'double R', 'ad-lib']

/** Each file of a folder with its SHA-256. */
const hashesIn = (folder: string): string[] =>
  readdirSync(folder)
    .sort()
    .map(
      (name) =>
        `${createHash('sha256')
          .update(readFileSync(join(folder, name)))
          .digest('hex')} ${name}`,
    )

declare global {
  interface Window {
    clicks: number
  }
}

describe.skipIf(!haveMaterial(CHROMIUM))('an artist who returns in six weeks on another mic', () => {
  it('sounds as then after at most five clicks', { timeout: 240_000 }, async () => {
    const { page, workplace, folder, complaints, picture } = await openWindow('capture')
    const { catalogue } = workplace
    const acts = createHandlers(workplace)
    const { id: artistId } = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
    const voice = await acts.createVoice({ artistId, name: 'rap', note: '' }, context)
    const mic = async (name: string, levelsDb: number[]) => {
      const made = await acts.createMic({ name, serial: '', pattern: 'cardioid', note: 'invented' }, context)
      const curve = await acts.createCurve(
        {
          ...{ micId: made.id, name: 'on axis', source: 'invented', pattern: 'cardioid', distanceM: null },
          ...{ note: '', picture: null, points: { frequenciesHz: [50, 200, 1000, 5000, 16_000], levelsDb } },
        },
        context,
      )
      return { ...made, curveId: curve.id }
    }
    const bright = await mic('Bright condenser', [0, 0, 0, 4, 6])
    const dull = await mic('Broadcast dynamic', [-3, 1, 0, 3, -6])
    const version = await acts.saveChain(
      {
        ...{ voiceId: voice.id, chainId: null, name: 'Rap main', note: '' },
        stages: [defaultStages['mic-correction'], defaultStages['low-cut'], defaultStages.ceiling],
      },
      context,
    )
    const write = (day: string, seed: number) =>
      NAMES.map((name, i) =>
        writeTake(join(folder, `${day} ${name}.wav`), [whiteNoise(12 * 48_000, seed + i, 0.1)]),
      )
    const then = await acts.createSession(
      { ...SESSION_FIELDS, artistId, songTitle: 'First Song', date: '2026-10-10', panLaw: 'minus-4.5-db' },
      context,
    )
    const { takes } = await acts.importTakes(
      {
        ...{ sessionId: then.id, files: write('then', 1).map((path) => ({ path })) },
        ...{ voiceId: voice.id, micId: bright.id, curveId: bright.curveId },
      },
      context,
    )
    const [lead, doubles, adLibs] = catalogue.groups.listOfSession(then.id)
    const soundThen = [
      { group: lead!, role: 'lead', gainDb: -1, pan: 0 },
      { group: doubles!, role: 'double', gainDb: -7, pan: -0.6 },
      { group: doubles!, role: 'double', gainDb: -8, pan: 0.6 },
      { group: adLibs!, role: 'ad-lib', gainDb: -10, pan: 0.3 },
    ] as const
    for (const [i, { group, ...fields }] of soundThen.entries()) {
      const take = takes[i]!
      await acts.addLayer(
        {
          ...{ ...fields, sessionId: then.id, groupId: group.id, takeId: take.id, name: take.name },
          ...{ offsetSamples: 0, muted: false },
        },
        context,
      )
    }
    for (const [i, group] of [lead!, doubles!, adLibs!].entries())
      await acts.updateGroup({ id: group.id, changes: { chainVersionId: version.id, gainDb: -i } }, context)

    // What was bounced then has to stay what it was.
    const oldBounce = await acts.bounceSession(
      { sessionId: then.id, folder: join(folder, 'bounce of then'), encoding: 'pcm-24', layerStems: false },
      context,
    )
    const oldHashes = hashesIn(join(folder, 'bounce of then'))
    expect(oldHashes).toHaveLength(4)

    await reloadWindow(page)
    await page.getByRole('button', { name: 'Takeloft, start page' }).click()
    await page.getByRole('heading', { name: 'Returning artists' }).waitFor()
    await picture('return-1-start')

    // From here on, presses are counted and the clock runs.
    await page.evaluate(() => {
      window.clicks = 0
      window.addEventListener('pointerdown', () => window.clicks++, { capture: true })
    })
    const startedMs = performance.now()
    await page
      .getByRole('button', { name: /Invented Artist As on Oct 10, 2026: Rap main, version 1/ })
      .click()
    const dialog = page.getByRole('dialog', { name: 'Invented Artist returns' })
    await dialog.getByRole('textbox', { name: 'Song' }).waitFor()
    await page.keyboard.type('Second Song')
    await dialog.getByRole('button', { name: /Mic of today/ }).click()
    await page.getByRole('option', { name: 'Broadcast dynamic' }).click()
    const chooser = page.waitForEvent('filechooser')
    await dialog.getByRole('button', { name: 'Choose today’s files' }).click()
    await (await chooser).setFiles(write('today', 20))
    await dialog.getByText('4 files').waitFor()
    await picture('return-2-dialog')
    await dialog.getByRole('button', { name: 'Begin with 4 files' }).click()
    await page.getByText(/^Set as on Oct 10, 2026/).waitFor({ timeout: 60_000 })
    await page.keyboard.press('Space')
    const position = page.getByRole('slider', { name: 'Position', exact: true })
    await expect
      .poll(async () => Number(await position.getAttribute('aria-valuenow')), { timeout: 60_000 })
      .toBeGreaterThan(0)
    await page.evaluate((frames) => {
      window.pending = window.takeloftCapture?.record(frames)
    }, HEARD_FRAMES)
    const heard = await page.evaluate(async () => [...((await window.pending)?.read[2] ?? [])])
    const seconds = (performance.now() - startedMs) / 1000
    const clicks = await page.evaluate(() => window.clicks)
    console.info(
      `an artist returns: ${clicks} clicks, ${seconds.toFixed(1)} s to a sounding stack of 4 files`,
    )
    expect(clicks).toBeLessThanOrEqual(MOST_CLICKS)
    const powerDb = 10 * Math.log10(heard.reduce((sum, one) => sum + one * one, 0) / heard.length)
    expect(powerDb).toBeGreaterThan(-60)
    expect(heard).toHaveLength(HEARD_FRAMES)
    await picture('return-3-stack')

    const session = catalogue.sessions.list()[0]!
    expect(session).toMatchObject({ songTitle: 'Second Song', panLaw: 'minus-4.5-db', artistId })
    const groups = catalogue.groups.listOfSession(session.id)
    expect(groups.map(({ name, gainDb }) => [name, gainDb])).toEqual([
      ['Lead', 0],
      ['Doubles', -1],
      ['Ad-libs', -2],
    ])
    // One version for all groups: that of then, or the one carried to the new mic.
    const versions = new Set(groups.map(({ chainVersionId }) => chainVersionId))
    expect(versions.size).toBe(1)
    const used = catalogue.chains.version([...versions][0]!)
    expect(used.chainId).toBe(version.chainId)
    expect(used.stages.map(({ kind }) => kind)).toEqual(['mic-correction', 'low-cut', 'ceiling'])
    expect(
      catalogue.layers
        .listOfSession(session.id)
        .map(({ name, role, gainDb, pan }) => [name, role, gainDb, pan])
        .sort(),
    ).toEqual(
      [
        ['today lead', 'lead', -1, 0],
        ['today double L', 'double', -7, -0.6],
        ['today double R', 'double', -8, 0.6],
        ['today ad-lib', 'ad-lib', -10, 0.3],
      ].sort(),
    )
    for (const take of catalogue.takes.listOfSession(session.id))
      expect(take).toMatchObject({ voiceId: voice.id, micId: dull.id, curveId: dull.curveId })
    // What carrying leaves is said with its figure, and the soundcheck is there.
    const report = page.getByRole('region', { name: 'As before' })
    await report.getByText(/carried from Bright condenser to Broadcast dynamic: \d+\.\d\d.dB RMS/).waitFor()
    await report.getByText(/^Soundcheck( of today lead)?: (?!listening)/).waitFor()

    // The day ends in a delivery that verifies, by another program as well.
    await page.keyboard.press('Space')
    await page.keyboard.press('Control+Shift+B')
    const delivering = page.getByRole('dialog', { name: 'Deliver Second Song' })
    await delivering.getByRole('textbox', { name: 'Folder' }).fill(join(folder, 'for the mix'))
    await delivering.getByRole('button', { name: /^Deliver/ }).click()
    const result = page.getByRole('dialog', { name: 'Delivered v01' })
    await result.getByRole('button', { name: 'Verify this delivery' }).click({ timeout: 120_000 })
    await result.getByText(/^Identical: \d+ stems, byte for byte\.$/).waitFor({ timeout: 120_000 })
    await picture('return-4-delivered')
    await result.getByRole('button', { name: 'Close' }).click()
    const [delivered] = readdirSync(join(folder, 'for the mix'))
    execFileSync('sha256sum', ['-c', '--quiet', 'manifest-sha256.txt'], {
      cwd: join(folder, 'for the mix', delivered!),
    })

    // The bounce of the first session: the same bytes on the disk, and the same when it is rendered again.
    expect(hashesIn(join(folder, 'bounce of then'))).toEqual(oldHashes)
    await page.keyboard.press('5')
    await page.getByRole('tab', { name: 'Events' }).click()
    const old = page.getByRole('article').filter({ hasText: oldBounce.manifest })
    await old.getByRole('button', { name: /^Verify/ }).click()
    await old.getByText('Identical: 3 stems, byte for byte.').waitFor({ timeout: 120_000 })
    await picture('return-5-old-bounce')
    expect(complaints).toEqual([])
  })
})
