// The first start of an empty catalogue: one click and Space lead from a folder of files to a stack that sounds.

import { execFileSync } from 'node:child_process'
import { copyFileSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { hasTool, haveMaterial } from '../require-tool.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

const CLIP = (name: string) => `/usr/share/sounds/alsa/${name}.wav`
const RATE_HZ = 44_100
/** 01:00:02 in samples of the files; the session starts at 01:00:00. */
const STAMP_SAMPLES = 3602 * RATE_HZ

function makeFolder(folder: string): string {
  const song = join(folder, '2026-11-28 Mira Vale - Paper Sky takes')
  mkdirSync(join(song, 'Doubles'), { recursive: true })
  const convert = (clip: string, to: string, ...options: string[]): void => {
    const args = ['-loglevel', 'error', '-i', CLIP(clip), '-ar', String(RATE_HZ), ...options, join(song, to)]
    execFileSync('ffmpeg', args)
  }
  convert('Front_Center', 'hook lead.wav')
  convert('Rear_Left', 'Doubles/01.wav')
  convert('Rear_Right', 'Doubles/02.flac')
  convert('Side_Left', 'adlib 1.wav', '-write_bext', '1', '-metadata', `time_reference=${STAMP_SAMPLES}`)
  convert('Side_Right', 'bridge.aiff')
  writeFileSync(join(song, 'broken lead.wav'), 'RIFF and nothing more')
  writeFileSync(join(song, 'lyrics.txt'), 'la la')
  copyFileSync(CLIP('Front_Left'), join(song, '.hidden.wav'))
  return song
}

describe.skipIf(!haveMaterial(CHROMIUM, CLIP('Front_Center')) || !hasTool('ffmpeg'))(
  'the first start',
  () => {
    it('leads from a folder to a sounding stack with one click, and is undone step by step', {
      timeout: 240_000,
    }, async () => {
      const { page, folder, workplace, complaints, picture } = await openWindow()
      page.setDefaultTimeout(15_000)
      await page.evaluate(() => {
        const counts = globalThis as unknown as { clicks: number }
        counts.clicks = 0
        addEventListener('click', (event) => event.isTrusted && counts.clicks++, true)
      })
      await page.getByRole('button', { name: 'Open a folder of takes' }).waitFor()
      await picture('first-start-light')
      const chooser = page.waitForEvent('filechooser')
      await page.getByRole('button', { name: 'Open a folder of takes' }).click()
      await (await chooser).setFiles(makeFolder(folder))
      await page.locator('.layer-row').nth(4).waitFor({ timeout: 120_000 })
      await page.getByText('5 layers of Paper Sky').waitFor()
      // The broken file and the text are told in one line; what is hidden is not.
      await page.getByText('Not taken in: lyrics.txt, 1 sound file, reasons in Intake.').waitFor()
      await page.getByText('1 name told no role: placed as lead.').waitFor()
      await picture('first-start-stack-light')
      expect(await page.getByRole('dialog').count()).toBe(0)
      await page.keyboard.press('Space')
      await page.getByRole('button', { name: 'Stop', exact: true }).waitFor()
      // The click on the button, and that which it makes on the hidden field for the folder by itself, which is not trusted.
      expect(await page.evaluate(() => (globalThis as unknown as { clicks: number }).clicks)).toBe(1)
      await page.keyboard.press('Space')

      const { catalogue } = workplace
      const [session] = catalogue.sessions.list()
      expect(session).toMatchObject({
        artistName: 'Mira Vale',
        songTitle: 'Paper Sky',
        sampleRateHz: RATE_HZ,
      })
      const groups = new Map(catalogue.groups.listOfSession(session.id).map(({ id, name }) => [id, name]))
      const layers = catalogue.layers.listOfSession(session.id)
      expect(
        layers.map(({ name, role, groupId, offsetSamples }) => [
          name,
          role,
          groups.get(groupId),
          offsetSamples,
        ]),
      ).toEqual(
        expect.arrayContaining([
          ['hook lead', 'lead', 'Lead', 0],
          ['bridge', 'lead', 'Lead', 0],
          ['01', 'double', 'Doubles', 0],
          ['02', 'double', 'Doubles', 0],
          ['adlib 1', 'ad-lib', 'Ad-libs', 2 * RATE_HZ],
        ]),
      )
      expect(catalogue.voices.list(session.artistId).map(({ name }) => name)).toEqual(['Voice'])

      // Layers, takes, session: each is a step.
      const undo = page.getByRole('button', { name: /^Undo/ })
      await undo.click()
      await expect.poll(() => catalogue.layers.listOfSession(session.id).length).toBe(0)
      await undo.click()
      await expect.poll(() => catalogue.takes.listOfSession(session.id).length).toBe(0)
      await undo.click()
      await expect.poll(() => catalogue.sessions.list().length).toBe(0)
      await page.evaluate(() => localStorage.setItem('takeloft.theme', 'dark'))
      await reloadWindow(page)
      await page.getByRole('button', { name: 'Open a folder of takes' }).waitFor()
      await picture('first-start-dark')
      expect(complaints).toEqual([])
    })
  },
)
