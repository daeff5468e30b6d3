// A delivery from the window: what is previewed is what is written, a wrong template is said at once, and what was typed
// is still there after a failure.

import { existsSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('a delivery in the window', () => {
  it('shows names, size, length and chain, keeps what was typed, delivers and verifies', async () => {
    const { page, folder, workplace, complaints, picture } = await openWindow()
    await fillWithChain(workplace)
    await reloadWindow(page)
    await page.keyboard.press('3')
    await page.getByRole('row', { name: 'Lead 1', exact: true }).waitFor()

    await page.keyboard.press('Control+Shift+B')
    const dialog = page.getByRole('dialog', { name: 'Deliver Invented Song' })
    const preview = dialog.getByRole('region', { name: 'What will be written' })
    await preview.getByText('IA_InventedSong_Lead_Wet01_48k24b.wav', { exact: true }).waitFor()
    await preview.getByText('Lead: Spoken v1').waitFor()
    await preview.getByText(/0:01\.4 at 48.kHz/).waitFor()
    // A browser cannot write the sheet as PDF, and the dialog says so.
    await preview.getByText(/recall sheet is written as HTML only/).waitFor()
    await picture('delivery-1-dialog')

    // A live example, and a sentence for what cannot be.
    const template = dialog.getByRole('textbox', { name: 'Names of files' })
    await template.fill('{song}_{part}_{ver}')
    await preview.getByText('InventedSong_Lead_01.wav', { exact: true }).waitFor()
    await template.fill('{song}_{voice}')
    await dialog
      .getByRole('alert')
      .getByText(/no token \{voice\}/)
      .waitFor()
    expect(await dialog.getByRole('button', { name: 'Deliver', exact: true }).isDisabled()).toBe(true)
    await picture('delivery-2-template')
    await template.fill('{song}_{part}_{ver}')

    await dialog.getByText('Layer stems').click()
    await preview.getByText('01_Processed/InventedSong_Lead1_01.wav').waitFor()
    await dialog.getByRole('button', { name: /^Sample rate|Sample rate$/ }).click()
    await page.getByRole('option', { name: /44\.1/ }).click()
    await preview.getByText(/at 44\.1.kHz/).waitFor()

    // A file is there: the delivery fails, and the dialog has what was typed.
    const out = join(folder, 'taken')
    writeFileSync(out, '')
    await dialog.getByRole('textbox', { name: 'Folder' }).fill(out)
    await dialog.getByRole('button', { name: 'Deliver', exact: true }).click()
    await page.getByText(/taken is not a folder/).waitFor()
    await page.getByRole('button', { name: 'Deliver', exact: true }).click()
    expect(await template.inputValue()).toBe('{song}_{part}_{ver}')
    expect(await dialog.getByRole('textbox', { name: 'Folder' }).inputValue()).toBe(out)
    expect(await dialog.getByRole('checkbox', { name: /^Layer stems/ }).isChecked()).toBe(true)

    const wanted = join(folder, 'for the mix')
    await dialog.getByRole('textbox', { name: 'Folder' }).fill(wanted)
    await preview.getByText('01_Processed/InventedSong_Lead_01.wav').waitFor()
    const promised = await preview.getByRole('table', { name: 'Files' }).getByRole('row').count()
    await page.keyboard.press('Enter')
    const result = page.getByRole('dialog', { name: 'Delivered v01' })
    await result.getByText('First delivery.').waitFor()
    await picture('delivery-3-result')
    const [name] = readdirSync(wanted)
    expect(name).toBe('IA_InventedSong_2026-10-01_v01')
    const files = readdirSync(join(wanted, name!), { recursive: true, withFileTypes: true })
    expect(files.filter((entry) => entry.isFile())).toHaveLength(promised)
    expect(existsSync(join(wanted, name!, '01_Processed/InventedSong_Lead_01.wav'))).toBe(true)
    await result.getByRole('button', { name: 'Verify this delivery' }).click()
    await result.getByText(/^Identical: \d+ stems, byte for byte\.$/).waitFor()
    await result.getByRole('button', { name: 'Close' }).click()

    // The next one says what changed.
    await page.getByRole('button', { name: 'Deliver', exact: true }).click()
    await dialog.getByText('Layer stems').click()
    await preview.getByText(/^v02, since version 1: contents from groups, layers/).waitFor()
    await page.keyboard.press('Escape')
    await page.keyboard.press('5')
    await page.getByRole('button', { name: 'Show or hide the lines' }).first().click()
    await page.getByText('Invented Song, v01').waitFor()
    await picture('delivery-4-ledger')
    expect(complaints).toEqual([])
  })
})
