// How windows, pages and the program end: not before a question while something runs or is unsaved.

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { BackgroundTask } from '../../../app/contract/wire/background-tasks.ts'
import { createLeaveGuard } from '../../../app/hosts/electron/leave-guard.ts'
import { app, powerMonitor } from './fake-electron.ts'
import { electron, resetElectron } from './fake-state.ts'
import { FakeSession, FakeWindow } from './fake-window.ts'

vi.mock('electron', () => import('./fake-electron.ts'))

const BOUNCE: BackgroundTask = {
  id: 1,
  subject: { kind: 'bounce', songTitle: 'Seven Stairs' },
  fraction: 0.437,
  doing: 'Rendering the stems',
  hasEnded: false,
}
const IMPORT: BackgroundTask = {
  ...BOUNCE,
  id: 2,
  subject: { kind: 'import', files: 3, sessionId: 1 },
  fraction: 0,
  doing: '',
}

interface Room {
  readonly window: FakeWindow
  acts: BackgroundTask[]
}

let exits: number[]
let watch: () => Room
const SIGNALS = ['SIGTERM', 'SIGINT', 'SIGHUP'] as const
let listenersBefore: readonly (readonly unknown[])[]

beforeEach(() => {
  resetElectron()
  app.removeAllListeners()
  app.hearWindows()
  powerMonitor.removeAllListeners()
  listenersBefore = SIGNALS.map((name) => process.listeners(name))
  exits = []
  electron.happened.on('exit', (status: number) => exits.push(status))
  app.on('window-all-closed', () => app.quit())
  const leaveGuard = createLeaveGuard((error) => {
    throw error
  })
  watch = () => {
    const window = new FakeWindow({ webPreferences: { session: new FakeSession(), preload: '' } })
    const room: Room = { window, acts: [] }
    leaveGuard.watch(window as never, () => room.acts)
    return room
  }
})

const ownListeners = (k: number) =>
  process.listeners(SIGNALS[k]).filter((one) => !listenersBefore[k].includes(one))
afterEach(() => {
  for (const [k, name] of SIGNALS.entries()) for (const one of ownListeners(k)) process.off(name, one)
})

/** Everything that was set off so far has happened. */
const settled = (): Promise<void> => new Promise((resolve) => setImmediate(resolve))
const question = () => {
  expect(electron.questions).toHaveLength(1)
  return electron.questions[0]
}
async function press(button: string): Promise<void> {
  question().press(button)
  await settled()
}

describe('with nothing running and nothing unsaved', () => {
  it('a window closes, and with the last one the program ends, without a question', async () => {
    const [first, second] = [watch(), watch()]
    first.window.close()
    await settled()
    expect([electron.windows, exits]).toEqual([[second.window], []])
    second.window.close()
    await settled()
    expect([electron.windows, exits]).toEqual([[], [0]])
    expect(electron.questions).toEqual([])
  })

  it('the program quits, twice too', async () => {
    watch()
    app.quit()
    app.quit()
    await settled()
    expect(electron.windows).toEqual([])
    expect(exits[0]).toBe(0)
  })
})

describe('closing a window while a bounce runs', () => {
  it('asks, says what runs and how far it is, and keeps working by default', async () => {
    const room = watch()
    room.acts = [BOUNCE, IMPORT]
    room.window.close()
    await settled()
    const { options, window } = question()
    expect(window).toBe(room.window)
    expect(options).toMatchObject({
      type: 'question',
      message: 'Close the window while Takeloft is working?',
      buttons: ['Keep working', 'Close anyway'],
      defaultId: 0,
      cancelId: 0,
    })
    expect(options.detail?.split('\n')).toEqual([
      'Bounce of Seven Stairs: 43 %, rendering the stems.',
      'Import of 3 files: 0 %.',
      '',
      'The bounce would be cancelled, and no stems would be delivered.',
      'The import would be cancelled. Takes that are already imported are kept.',
    ])
    await press('Keep working')
    expect([electron.windows, exits]).toEqual([[room.window], []])
  })

  it('closes it where the user says so', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    room.window.close()
    await settled()
    await press('Close anyway')
    expect([electron.windows, exits]).toEqual([[], [0]])
  })

  it('asks once, however often it is tried', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    room.window.close()
    room.window.close()
    app.quit()
    await settled()
    await press('Keep working')
    expect([electron.windows, electron.questions, exits]).toEqual([[room.window], [], []])
    // And again after that.
    room.window.close()
    await settled()
    await press('Close anyway')
    expect(exits).toEqual([0])
  })

  it('does not ask for what has ended in another window', async () => {
    const [busy, idle] = [watch(), watch()]
    busy.acts = [BOUNCE]
    idle.window.close()
    await settled()
    expect([electron.windows, electron.questions]).toEqual([[busy.window], []])
  })
})

describe('quitting while something runs', () => {
  it('asks once for all windows, before any of them closes', async () => {
    const rooms = [watch(), watch(), watch()]
    rooms[1].acts = [BOUNCE]
    rooms[2].acts = [IMPORT]
    app.quit()
    await settled()
    expect(electron.windows).toHaveLength(3)
    expect(question().options).toMatchObject({
      message: 'Quit while Takeloft is working?',
      detail: expect.stringMatching(/Bounce of Seven Stairs.*\nImport of 3 files/),
      buttons: ['Keep working', 'Quit anyway'],
      defaultId: 0,
      cancelId: 0,
    })
    await press('Keep working')
    expect([electron.windows.length, exits]).toEqual([3, []])
    app.quit()
    await settled()
    await press('Quit anyway')
    expect([electron.windows.length, exits]).toEqual([0, [0]])
  })

  it('asks again when the user has kept editing something unsaved instead', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    room.window.webContents.isUnsaved = true
    app.quit()
    await settled()
    await press('Quit anyway')
    await press('Keep editing')
    expect([electron.windows, exits]).toEqual([[room.window], []])
    // Nothing was cancelled so far, and what was agreed to then is not agreed to now.
    app.quit()
    await settled()
    expect(question().options.message).toBe('Quit while Takeloft is working?')
    await press('Quit anyway')
    await press('Quit without saving')
    expect(exits).toEqual([0])
  })
})

describe('unsaved chains', () => {
  it('keep their window open until the user says otherwise', async () => {
    const room = watch()
    room.window.webContents.isUnsaved = true
    room.window.close()
    await settled()
    expect(question().options).toMatchObject({
      type: 'question',
      message: 'Close without saving?',
      buttons: ['Keep editing', 'Close without saving'],
      defaultId: 0,
      cancelId: 0,
    })
    await press('Keep editing')
    expect(electron.windows).toEqual([room.window])
    room.window.close()
    await settled()
    await press('Close without saving')
    expect([electron.windows, exits]).toEqual([[], [0]])
  })

  it('are asked about before the page is loaded again, each time', async () => {
    const { webContents } = watch().window
    webContents.isUnsaved = true
    webContents.reload()
    await settled()
    expect(question().options.message).toBe('Reload without saving?')
    await press('Keep editing')
    expect(webContents.reloads).toBe(0)
    for (const times of [1, 2]) {
      webContents.reload()
      await settled()
      await press('Reload without saving')
      expect(webContents.reloads).toBe(times)
    }
  })

  it('that were saved in the meantime are no reason to go on without a question later', async () => {
    const { webContents } = watch().window
    webContents.isUnsaved = true
    webContents.reload()
    await settled()
    const open = question()
    webContents.isUnsaved = false
    open.press('Reload without saving')
    await settled()
    expect(webContents.reloads).toBe(1)
    webContents.isUnsaved = true
    webContents.reload()
    await settled()
    expect(webContents.reloads).toBe(1)
    expect(question().options.message).toBe('Reload without saving?')
  })

  it('in two windows are asked about one after the other when the program quits', async () => {
    const rooms = [watch(), watch()]
    for (const { window } of rooms) window.webContents.isUnsaved = true
    app.quit()
    await settled()
    await press('Quit without saving')
    await press('Quit without saving')
    expect([electron.windows, exits]).toEqual([[], [0]])
  })
})

describe('where nobody can be asked', () => {
  it.each(SIGNALS.map((name, k) => [name, k] as const))('the program ends at once: %s', async (_name, k) => {
    const rooms = [watch(), watch()]
    rooms[0].acts = [BOUNCE]
    rooms[1].window.webContents.isUnsaved = true
    const [listener, ...more] = ownListeners(k)
    expect(more).toEqual([])
    ;(listener as () => void)()
    await settled()
    expect([electron.windows, electron.questions, exits]).toEqual([[], [], [0]])
  })

  it('the program ends at once: the system shuts down, also while a question is open', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    room.window.close()
    await settled()
    const prevent = vi.fn()
    powerMonitor.emit('shutdown', { preventDefault: prevent })
    await settled()
    // "If e.preventDefault() is called, the app should exit as soon as possible" (Electron, powerMonitor).
    expect(prevent).toHaveBeenCalledOnce()
    expect([electron.windows, electron.questions, exits]).toEqual([[], [], [0]])
  })

  it('the program ends at once: Windows ends the session', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    room.window.emit('session-end', { reasons: ['logoff'] })
    await settled()
    expect([electron.windows, electron.questions, exits]).toEqual([[], [], [0]])
  })
})

describe('when Windows asks whether the session may end', () => {
  const mayEnd = (room: Room): boolean => {
    let may = true
    room.window.emit('query-session-end', { reasons: ['shutdown'], preventDefault: () => (may = false) })
    return may
  }
  it('it may where nothing runs', () => {
    expect(mayEnd(watch())).toBe(true)
  })
  it('it waits for the user where something does', async () => {
    const room = watch()
    room.acts = [BOUNCE]
    expect(mayEnd(room)).toBe(false)
    await settled()
    await press('Quit anyway')
    expect(exits).toEqual([0])
  })
})
