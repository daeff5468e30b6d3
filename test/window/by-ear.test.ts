// Versions of a chain compared by ear: at equal loudness, and blind with choices that are counted.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { haveMaterial } from '../require-tool.ts'
import { context } from '../services/workshop.ts'
import { CLIP, fillWithChain, STAGES } from './chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

/** 6 dB louder and nothing else. */
const LOUDER = { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, makeUpDb: 6 } }

describe.skipIf(!haveMaterial(CHROMIUM, CLIP))('comparing by ear', () => {
  it('lowers the louder version, hides which is which, and counts what was chosen', async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    const { acts, version, voice } = await fillWithChain(workplace)
    await acts.saveChain(
      {
        voiceId: voice.id,
        chainId: version.chainId,
        name: 'Spoken',
        stages: [...STAGES.slice(0, 2), LOUDER],
        note: 'louder',
      },
      context,
    )
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await page.getByRole('button', { name: 'More for this chain' }).click()
    await page.getByRole('menuitem', { name: 'Compare by ear' }).click()
    const dialog = page.getByRole('dialog', { name: 'Compare by ear' })
    await dialog.getByRole('button', { name: /Version 3$/ }).click()
    await page.getByRole('option', { name: /Spoken 2/ }).click()
    await dialog.getByText(/lowered 6\.0.dB/).waitFor()
    await dialog.getByRole('button', { name: /^A / }).click()
    await expect
      .poll(() => page.getByRole('button', { name: 'Stop', exact: true, includeHidden: true }).count())
      .toBe(1)
    await page.keyboard.press('3')
    await expect
      .poll(() => dialog.getByRole('button', { name: /^C / }).getAttribute('aria-pressed'))
      .toBe('true')
    await picture('by-ear-1-shown')

    await dialog.getByText('Blind: hide which is which until one is chosen').click()
    await dialog.getByText('0 choices so far.').waitFor()
    expect(await dialog.getByRole('button', { name: /^[ABC] hidden/ }).count()).toBe(3)
    await page.keyboard.press('2')
    await dialog.getByRole('button', { name: 'Choose B' }).click()
    await dialog.getByText(/ was chosen\. Of 1 choice: /).waitFor()
    await picture('by-ear-2-chosen')
    await dialog.getByRole('button', { name: 'Hide again' }).click()
    await dialog.getByText('1 choice so far.').waitFor()
    expect(await dialog.getByRole('button', { name: /^[ABC] hidden/ }).count()).toBe(3)
    expect(complaints).toEqual([])
  })

  it('compares versions of a group’s chain in the whole stack, from the same place', async () => {
    const { page, workplace, complaints, picture } = await openWindow()
    page.setDefaultTimeout(15_000)
    const { acts, version, voice } = await fillWithChain(workplace)
    const stages = [...STAGES.slice(0, 2), LOUDER]
    await acts.saveChain(
      { voiceId: voice.id, chainId: version.chainId, name: 'Spoken', stages, note: 'louder' },
      context,
    )
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Stack', exact: true }).click()
    await page.getByRole('button', { name: 'Loop', exact: true }).click()
    await page.getByRole('button', { name: 'More for group Lead' }).click()
    await page.getByRole('menuitem', { name: 'Compare versions by ear in the stack' }).click()
    const dialog = page.getByRole('dialog', { name: 'Compare by ear' })
    await dialog.getByText('On the whole stack, Lead through each version.').waitFor()
    await dialog.getByRole('button', { name: /Version 2$/ }).click()
    await page.getByRole('option', { name: /Spoken 2/ }).click()
    // The stack is one centred layer, so the whole of it gets louder by what the chain adds.
    await dialog.getByText(/lowered 6\.0.dB/).waitFor()
    await page.keyboard.press('1')
    const stop = page.getByRole('button', { name: 'Stop', exact: true, includeHidden: true })
    await expect.poll(() => stop.count()).toBe(1)
    const time = () => page.locator('.transport-time').textContent()
    const before = await time()
    await page.keyboard.press('2')
    await expect
      .poll(() => dialog.getByRole('button', { name: /^B / }).getAttribute('aria-pressed'))
      .toBe('true')
    expect(await stop.count()).toBe(1)
    await expect.poll(time).not.toBe(before)
    await picture('by-ear-stack-light')
    await page.evaluate(() => {
      document.documentElement.dataset.theme = 'dark'
    })
    await picture('by-ear-stack-dark')
    await dialog.getByRole('button', { name: 'Close', exact: true }).last().click()
    await expect.poll(() => stop.count()).toBe(1)
    expect(complaints).toEqual([])
  })
})
