// The bounce dialog says what will be written, and keeps what was typed when the bounce fails.

import { readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { haveMaterial } from '../require-tool.ts'
import { CLIP, fillWithChain } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('a bounce in the window', () => {
  it('says rate, length, chain and size, and keeps what was typed when it fails', {
    timeout: 240_000,
  }, async () => {
    const { page, folder, workplace, picture } = await openWindow()
    await fillWithChain(workplace)
    await reloadWindow(page)
    await page.keyboard.press('3')
    await page.getByRole('row', { name: 'Lead 1', exact: true }).waitFor()
    const open = page.getByRole('button', { name: 'Bounce', exact: true })
    await open.click()
    const dialog = page.getByRole('dialog', { name: 'Bounce Invented Song' })
    const preview = dialog.getByRole('region', { name: 'What will be written' })
    await preview.getByText(/0:01\.4 at 48.kHz/).waitFor()
    await preview.getByText('Lead: Spoken v1').waitFor()
    const size = async () => (await preview.textContent())!.match(/(\d+) stems? and a manifest/)![1]
    const groups = Number(await size())
    await dialog.getByText('Layer stems as well').click()
    await expect.poll(async () => Number(await size())).toBeGreaterThan(groups)
    const promised = Number(await size())
    await picture('bounce-preview')

    const taken = join(folder, 'taken')
    writeFileSync(taken, '')
    const field = dialog.getByRole('textbox', { name: 'Folder' })
    await field.fill(taken)
    await page.keyboard.press('Enter')
    await page.getByRole('alert').filter({ hasText: 'taken' }).first().waitFor()
    await open.click()
    expect(await field.inputValue()).toBe(taken)
    expect(await dialog.getByRole('checkbox', { name: 'Layer stems as well' }).isChecked()).toBe(true)
    const wanted = join(folder, 'stems')
    await field.fill(wanted)
    await page.keyboard.press('Enter')
    await page.getByRole('dialog', { name: /^Bounced/ }).waitFor({ timeout: 60_000 })
    expect(readdirSync(wanted).filter((name) => name.endsWith('.wav'))).toHaveLength(promised)
  })
})
