// A session that was set on two computers, in the window: both sides are shown, the other computer's settings are taken
// by one act, and undo brings back those that were valid.

import { describe, expect, it } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { haveMaterial } from '../require-tool.ts'
import { bring, fillComputer, openComputer } from '../services/history/two-computers.ts'
import { context, type Workshop } from '../services/workshop.ts'
import { CHROMIUM, openWindow, reloadWindow } from './open-window.ts'

describe.skipIf(!haveMaterial(CHROMIUM))('settings of another computer', () => {
  it('are shown beside those here, taken, and undone', { timeout: 240_000 }, async () => {
    const studio = openComputer()
    const { session } = await fillComputer(studio)
    const { page, workplace, complaints, picture } = await openWindow()
    const acts = createHandlers(workplace)
    const here = { workplace, handlers: acts } as unknown as Workshop
    await bring(studio, here)
    const layerOf = ({ catalogue }: Workshop['workplace']) => catalogue.layers.listOfSession(session.id)[0]!
    await acts.updateLayer({ id: layerOf(workplace).id, changes: { gainDb: -4.5 } }, context)
    studio.setMinute(20)
    await studio.handlers.updateLayer({ id: layerOf(studio.workplace).id, changes: { gainDb: 2 } }, context)
    await bring(studio, here)
    expect(layerOf(workplace).gainDb).toBe(-4.5)

    await reloadWindow(page)
    await page.keyboard.press('3')
    await page.getByRole('button', { name: 'Other settings' }).click()
    const dialog = page.getByRole('dialog', { name: 'Settings of another computer' })
    await dialog.getByText(/gain -4\.5 dB/).waitFor()
    await dialog.getByText(/gain 2 dB/).waitFor()
    await picture('other-settings')
    await dialog.getByRole('button', { name: 'Take the other computer’s settings' }).click()
    await dialog.waitFor({ state: 'detached' })
    expect(layerOf(workplace).gainDb).toBe(2)
    await page.getByRole('button', { name: 'Other settings' }).waitFor({ state: 'detached' })

    await page.keyboard.press('Control+z')
    await page.getByRole('button', { name: 'Other settings' }).waitFor()
    expect(layerOf(workplace).gainDb).toBe(-4.5)
    // The history has no sound, so the waveform of the take cannot be fetched.
    expect(complaints.filter((complaint) => !complaint.includes('status of 422'))).toEqual([])
  })
})
