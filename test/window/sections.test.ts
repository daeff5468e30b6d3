// Sections in Stack: made by dragging and by key, moved by their edges and by keys, renamed, looped, removed and
// undone; from markers of files; measured and bounced alone; and still there after a reload.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { markerChunks } from '../../app/formats/wave/marker-chunks.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { context, SESSION_FIELDS, writeTake } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

/** Frames of one beat at 90 BPM and 48 kHz: 60 / 90 × 48 000. */
const BEAT = 32_000

describe.skipIf(!haveMaterial(CHROMIUM))('sections in Stack', () => {
  it('are made, moved, renamed, looped, removed and kept', { timeout: 240_000 }, async () => {
    const { page, workplace, folder, complaints, picture } = await openWindow()
    const acts = createHandlers(workplace)
    const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
    const session = await acts.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
      context,
    )
    const path = writeTake(join(folder, 'lead.wav'), [whiteNoise(48_000 * 20, 1, 0.2)], {
      trailing: markerChunks([{ name: 'Bridge', startFrame: 16 * BEAT, frames: 0, note: '' }]),
    })
    const { takes } = await acts.importTakes(
      { sessionId: session.id, files: [{ path }], voiceId: null, micId: null, curveId: null },
      context,
    )
    const groupId = workplace.catalogue.groups.listOfSession(session.id)[0]!.id
    const layer = { role: 'lead', offsetSamples: 0, gainDb: 0, pan: 0, muted: false } as const
    await acts.addLayer(
      { ...layer, sessionId: session.id, groupId, takeId: takes[0]!.id, name: 'lead' },
      context,
    )
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    const lane = page.locator('.section-lane')
    await lane.waitFor()
    const kept = () =>
      workplace.catalogue.sections
        .listOfSession(session.id)
        .map(({ name, startSamples, lengthSamples }) => ({ name, startSamples, lengthSamples }))

    // Dragged, near the beats 4 and 12: it snaps to them.
    const box = (await lane.boundingBox())!
    const framesPerPx = (20.6 * 48_000) / box.width
    const x = (frame: number): number => box.x + frame / framesPerPx
    const y = box.y + box.height / 2
    await page.mouse.move(x(4 * BEAT + 2000), y)
    await page.mouse.down()
    await page.mouse.move(x(8 * BEAT), y)
    await page.mouse.move(x(12 * BEAT - 2000), y, { steps: 3 })
    await page.mouse.up()
    await expect.poll(kept).toEqual([{ name: 'Section 1', startSamples: 4 * BEAT, lengthSamples: 8 * BEAT }])
    // Ready to be named.
    await page.getByRole('textbox', { name: 'Name of Section 1' }).waitFor()
    await page.keyboard.type('Verse 1')
    await page.keyboard.press('Enter')
    await expect.poll(() => kept()[0]?.name).toBe('Verse 1')

    // The end by its edge, free of the beats with Shift.
    const bar = page.getByRole('group', { name: /^Section Verse 1/ })
    const edge = (await bar.locator('.section-edge-end').boundingBox())!
    await page.mouse.move(edge.x + 3, y)
    await page.mouse.down()
    await page.keyboard.down('Shift')
    await page.mouse.move(edge.x + 3 - 1.3 * (BEAT / framesPerPx), y, { steps: 4 })
    await page.mouse.up()
    await page.keyboard.up('Shift')
    await expect.poll(() => kept()[0]!.lengthSamples % BEAT).not.toBe(0)
    expect(Math.abs(kept()[0]!.lengthSamples - 6.7 * BEAT)).toBeLessThan(2 * framesPerPx)
    await page.getByRole('button', { name: 'Undo end of Verse 1' }).click()
    await expect.poll(() => kept()[0]?.lengthSamples).toBe(8 * BEAT)

    // By keys: a beat later, and a beat longer.
    await bar.focus()
    await page.keyboard.press('Alt+ArrowRight')
    await expect.poll(() => kept()[0]?.startSamples).toBe(5 * BEAT)
    await page.keyboard.press('Shift+ArrowRight')
    await expect.poll(() => kept()[0]?.lengthSamples).toBe(9 * BEAT)

    // While the song plays: K begins a section, K ends it, both on beats.
    await page.getByRole('button', { name: 'Play stack' }).click()
    await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
    await page.keyboard.press('k')
    await page.getByText('begun').waitFor()
    // Three seconds of the song, however fast this machine plays it.
    const heard = page.getByRole('slider', { name: 'Position', exact: true })
    const at = async (): Promise<number> => Number(await heard.getAttribute('aria-valuenow'))
    const begun = await at()
    await expect.poll(at, { timeout: 60_000 }).toBeGreaterThan(begun + 2.5)
    await page.keyboard.press('k')
    await expect.poll(() => kept().length).toBe(2)
    await page.keyboard.press('Space')
    const played = kept().find(({ name }) => name === 'Section 2')!
    expect(played.startSamples % BEAT).toBe(0)
    expect(played.lengthSamples % BEAT).toBe(0)
    expect(played.lengthSamples).toBeGreaterThan(0)

    // From one section to the next and back by , and . where the focus is on none.
    await page.keyboard.press('Home')
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur())
    const starts = kept()
      .map(({ startSamples }) => startSamples / 48_000)
      .sort((one, other) => one - other)
    // The first begins where the playhead is. The slider counts whole seconds.
    expect(starts[0]).toBe(0)
    await page.keyboard.press('.')
    await expect.poll(at).toBe(Math.floor(starts[1]!))
    await page.keyboard.press(',')
    await expect.poll(at).toBe(0)

    // Around a section.
    await bar.focus()
    await page.keyboard.press('Shift+L')
    await page.getByRole('group', { name: /^Ruler, loop from/ }).waitFor()
    // Beats 5 to 14 at 90 BPM.
    expect(await page.getByRole('group', { name: /^Ruler/ }).getAttribute('aria-label')).toMatch(
      /loop from 3333\.3\sms to 9333\.3\sms/,
    )
    await picture('sections-in-stack')

    // The section alone is measured and bounced.
    await page.getByRole('button', { name: 'Measure', exact: true }).click()
    const levels = page.getByRole('dialog', { name: 'Stack levels: Invented Song' })
    const loudness = levels.getByRole('row', { name: /^Integrated loudness/ })
    await loudness.waitFor({ timeout: 60_000 })
    await levels.getByRole('button', { name: /Part of the song/ }).click()
    await page.getByRole('option', { name: 'Verse 1' }).click()
    await levels.getByText('Verse 1 through the saved chains').waitFor()
    await loudness.waitFor({ timeout: 60_000 })
    await picture('measure-section')
    await page.keyboard.press('Escape')
    await page.getByRole('button', { name: 'Bounce', exact: true }).click()
    const bounce = page.getByRole('dialog', { name: 'Bounce Invented Song' })
    await bounce.getByRole('button', { name: /Part of the song/ }).click()
    await page.getByRole('option', { name: 'Verse 1' }).click()
    // 9 beats at 90 BPM: 6 s.
    await bounce.getByText(/0:06\.0 at 48.kHz/).waitFor()
    await picture('bounce-section')
    const target = join(folder, 'verse')
    await bounce.getByRole('textbox', { name: 'Folder' }).fill(target)
    await page.keyboard.press('Enter')
    await page.getByRole('dialog', { name: /^Bounced 1 stem/ }).waitFor({ timeout: 60_000 })
    expect(readdirSync(target).sort()).toEqual(['InventedSong_Verse1_Lead_48k24b.wav', 'manifest.json'])
    await page.keyboard.press('Escape')

    // The marker of the file is counted, and taken once.
    await page.getByRole('button', { name: 'From files: 1 marker not here yet' }).click()
    await expect.poll(kept).toContainEqual({ name: 'Bridge', startSamples: 16 * BEAT, lengthSamples: 0 })
    await page.getByRole('button', { name: 'From files', exact: true }).waitFor()
    await page.getByRole('button', { name: /^Undo/ }).click()
    await page.getByRole('button', { name: 'From files: 1 marker not here yet' }).waitFor()

    await reloadWindow(page)
    await bar.waitFor()
    await bar.focus()
    await page.keyboard.press('Delete')
    await expect.poll(() => kept().map(({ name }) => name)).toEqual(['Section 2'])
    await page.keyboard.press('Control+z')
    await expect
      .poll(() =>
        kept()
          .map(({ name }) => name)
          .sort(),
      )
      .toEqual(['Section 2', 'Verse 1'])
    expect(complaints).toEqual([])
  })
})
