// Printing: by the page's own button and by the menu, through the system's dialog.

import { describe, expect, it, vi } from 'vitest'
import { nextQuestion, openPage, setUpDesktop, start } from './desktop.ts'
import { electron, type FakeMenuItem } from './fake-state.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
setUpDesktop()

const printItem = (): FakeMenuItem =>
  electron.menu!.flatMap(({ submenu = [] }) => submenu).find(({ label }) => label === 'Print…')!

describe('printing', () => {
  it('opens the system’s dialog with the paper of its printer', async () => {
    await start()
    expect(await (await openPage()).print()).toBeNull()
    expect(electron.prints).toEqual([{ usePrinterDefaultPageSize: true }])
  })

  it('that the user leaves is no failure; one that fails says so to the page', async () => {
    await start()
    const bridge = await openPage()
    // Electron's own words: docs, webContents.print, "Some possible failureReasons".
    electron.printFailure = 'Print job canceled'
    expect(await bridge.print()).toBeNull()
    electron.printFailure = 'Print job failed'
    expect(await bridge.print()).toMatchObject({
      code: 'not-supported',
      message: expect.stringMatching(/could not be printed \(Print job failed\); .*\.$/),
    })
  })

  it('is in the menu, and a failure is said in a dialog', async () => {
    const window = await start()
    printItem().click!({}, window)
    expect(electron.prints).toHaveLength(1)
    electron.printFailure = 'Invalid printer settings'
    const asked = nextQuestion()
    printItem().click!({}, window)
    expect((await asked).options).toMatchObject({
      type: 'error',
      message: expect.stringContaining('Invalid printer settings'),
    })
  })

  it('does nothing where no window is open', async () => {
    await start()
    printItem().click!({}, undefined)
    expect(electron.prints).toEqual([])
  })
})
