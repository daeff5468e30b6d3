// A voice goes from one catalogue to another and back through the window: shown first, both sides kept, two newest
// versions in two lanes of its book, and joined there.

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { exported, fillComputer, openComputer, saveVersion } from '../services/history/two-computers.ts'
import { context } from '../services/workshop.ts'
import { CHROMIUM, openWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM))('the exchange of a voice', () => {
  it('shows a file before it is taken in, keeps both sides, and leaves as a file again', {
    timeout: 240_000,
  }, async () => {
    const studio = openComputer()
    onTestFinished(() => studio.workplace.close())
    const there = await fillComputer(studio)
    const { page, workplace, folder, picture } = await openWindow('', {
      viewport: { width: 1280, height: 1000 },
    })
    const { catalogue } = workplace
    const acts = createHandlers(workplace)
    const file = join(folder, 'from the studio.zip')
    writeFileSync(file, await exported(studio))

    // From the start page of an empty catalogue; the browser sends a copy of the chosen file.
    await page.getByRole('button', { name: 'Import a voice…' }).click()
    const dialog = page.getByRole('dialog', { name: 'Import a voice' })
    const choose = async (path: string) => {
      const chooser = page.waitForEvent('filechooser')
      await dialog.getByRole('button', { name: 'Choose…' }).click()
      await (await chooser).setFiles(path)
    }
    await choose(file)
    const preview = dialog.getByRole('region', { name: 'What will come in' })
    await preview.getByText('1 chain version').waitFor()
    expect(await preview.textContent()).toMatch(
      /Sung.*Ana Überall.*Night — 夜.*The file has no sound: 1 take/,
    )
    expect(catalogue.artists.list()).toEqual([])
    await picture('exchange-1-new-light')
    await dialog.getByRole('button', { name: 'Take in' }).click()
    await dialog.waitFor({ state: 'detached' })
    expect(catalogue.chains.list()).toHaveLength(1)

    // Both go on: a version on each side, and other notes of the voice.
    const [chain] = catalogue.chains.list()
    const [first] = catalogue.chains.versions(chain!.id)
    const [voice] = catalogue.voices.list()
    const here = await acts.saveChain(
      { voiceId: voice!.id, chainId: chain!.id, name: 'Chain', stages: first!.stages, note: 'at home' },
      context,
    )
    studio.setMinute(30)
    await saveVersion(studio, there.voice.id, there.version.chainId, 'at the studio')
    await studio.handlers.renameEntity({ kind: 'voice', id: there.voice.id, name: 'Sung low' }, context)
    await acts.renameEntity({ kind: 'voice', id: voice!.id, name: 'Sung high' }, context)
    writeFileSync(file, await exported(studio))

    await page.keyboard.press('5')
    await page.getByRole('tab', { name: 'Voice’s book' }).click()
    await page.getByRole('button', { name: 'Import a voice…' }).click()
    // A typed path is read where it is, and a file that is none is refused with the reason; the path stays.
    await dialog.getByRole('textbox', { name: 'File' }).fill(join(folder, 'catalogue.sqlite'))
    await page.keyboard.press('Enter')
    await dialog
      .getByRole('alert')
      .getByText(/catalogue\.sqlite/)
      .waitFor()
    await dialog.getByRole('textbox', { name: 'File' }).fill(file)
    await page.keyboard.press('Enter')
    const differs = dialog.getByRole('region', { name: 'What differs' })
    await differs.getByText(/^Chain: the chain was edited on both computers/).waitFor()
    expect(await differs.locator('dd').allTextContents()).toEqual(
      expect.arrayContaining(['Sung high', 'Sung low', expect.stringMatching(/^v2 · [0-9a-f]{4}, /)]),
    )
    for (const theme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme: theme as 'light' | 'dark' })
      await picture(`exchange-2-differs-${theme}`)
    }
    expect(catalogue.chains.versions(chain!.id)).toHaveLength(2)
    await dialog.getByRole('button', { name: 'Take in' }).click()
    await dialog.waitFor({ state: 'detached' })

    // Two newest versions are drawn in two columns, from one parent.
    const note = page.getByRole('note').filter({ hasText: '2 newest versions' })
    await note.waitFor()
    const columns = () =>
      page.locator('.version-dot').evaluateAll((dots) => dots.map((dot) => Number(dot.getAttribute('cx'))))
    expect(new Set((await columns()).slice(0, 2)).size).toBe(2)
    await page.getByText('at the studio').first().waitFor()
    for (const theme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme: theme as 'light' | 'dark' })
      await picture(`exchange-3-lanes-${theme}`)
    }
    const compare = page.getByRole('region', { name: 'Compare versions' })
    await compare.getByRole('button', { name: /^Join both/ }).click()
    await note.waitFor({ state: 'detached' })
    const joined = catalogue.chains.versions(chain!.id)[0]!
    expect(joined.parents).toHaveLength(2)
    expect(joined.parents).toContain(here.node)
    await picture('exchange-4-joined')

    // The ledger says what came in.
    await page.getByRole('tab', { name: 'Events' }).click()
    const merges = (await acts.listLedger({ limit: 100 }, context)).filter(
      (entry) => entry.kind === 'history-merged',
    )
    expect(merges.map((entry) => entry.conflicts.length > 0)).toEqual([true, false])
    await page.getByRole('tab', { name: 'Voice’s book' }).click()

    // And out again: the same name twice is refused, and what was typed stays.
    await page.getByRole('button', { name: 'Export this voice…' }).click()
    const exporting = page.getByRole('dialog', { name: /^Export Ana Überall/ })
    const name = exporting.getByRole('textbox', { name: 'Name of the file' })
    await name.fill('from the studio.zip')
    await exporting.getByRole('button', { name: 'Export', exact: true }).click()
    await exporting.getByRole('alert').waitFor()
    expect(await name.inputValue()).toBe('from the studio.zip')
    await picture('exchange-5-export')
    await name.fill('from home.zip')
    await exporting.getByRole('button', { name: 'Export', exact: true }).click()
    await exporting.waitFor({ state: 'detached' })
    expect(readFileSync(join(folder, 'from home.zip'))).toEqual(await exported({ workplace } as never))
  })
})
