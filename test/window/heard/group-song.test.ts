// Along the song in Chain of a whole group: what its chain gets in the session. The choice is beside the takes, and the
// figures follow the layers.

import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { haveMaterial } from '../../require-tool.ts'
import { context, writeTake } from '../../services/workshop.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { fillWithChain } from '../chain-session.ts'
import { CHROMIUM, openWindow, reloadWindow } from '../open-window.ts'

const FS = 48_000
const OPTO = {
  ...defaultStages.opto,
  settings: { ...defaultStages.opto.settings, thresholdDbfs: -30, attackMs: 3 },
}

describe.skipIf(!haveMaterial(CHROMIUM))('along the song of a group', () => {
  it('shows what the chain gets of all layers, and again when a layer is changed', async () => {
    const window = await openWindow()
    const { page, workplace, complaints, picture } = window
    const path = writeTake(join(window.folder, 'noise.wav'), [whiteNoise(4 * FS, 3, 0.1)])
    const { acts, session, lead, take } = await fillWithChain(workplace, [defaultStages.expander, OPTO], path)
    // The same take again, two seconds later: 4 s become 6 s, and twice the amplitude where both sound.
    const layer = await acts.addLayer(
      {
        ...{ sessionId: session.id, groupId: lead.id, takeId: take.id, name: 'Lead 2', role: 'lead' },
        ...{ offsetSamples: 2 * FS, gainDb: 0, pan: 0, muted: false },
      },
      context,
    )
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    const lanes = page.getByRole('slider', { name: /^Along the song/ })
    await lanes.waitFor({ timeout: 60_000 })
    expect(await lanes.getAttribute('aria-valuemax')).toBe('4')
    expect(await lanes.getAttribute('aria-label')).toBe('Along the song: Expander, Opto')

    await page.getByRole('button', { name: /Measured on/ }).click()
    await page.getByRole('option', { name: /^Group in this session.*2 layers/ }).click()
    await expect.poll(() => lanes.getAttribute('aria-valuemax')).toBe('6')
    // The expander runs on each layer before the sum.
    await expect.poll(() => lanes.getAttribute('aria-label')).toBe('Along the song: Opto')
    expect(await lanes.getAttribute('aria-valuetext')).toBe('Whole song')
    await page.getByText(/measuring/i).waitFor({ state: 'hidden' })
    await picture('chain-group-song')

    await acts.updateLayer({ id: layer.id, changes: { muted: true } }, context)
    await expect.poll(() => lanes.getAttribute('aria-valuemax')).toBe('4')
    await reloadWindow(page)
    await page.getByRole('button', { name: 'Chain', exact: true }).click()
    await lanes.waitFor({ timeout: 60_000 })
    expect(await lanes.getAttribute('aria-valuetext')).toBe('Whole song')
    await page.getByRole('button', { name: /Measured on/ }).click()
    await page.getByRole('option', { name: 'noise', exact: true }).click()
    await expect.poll(() => lanes.getAttribute('aria-valuetext')).toBe('Whole take')
    expect(complaints).toEqual([])
  })
})
