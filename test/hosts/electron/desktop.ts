// The desktop program in the process of a test, with Electron faked: started, looked into, and ended.
// A test file says itself: vi.mock('electron', () => import('./fake-electron.ts')).

import { type EventEmitter, once } from 'node:events'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
// Brings up the faked module before any other is reset, so that there is one of it.
import 'electron'
import { afterEach, beforeEach, vi } from 'vitest'
import { logFolder } from '../../../app/hosts/log-folder.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import type { PreloadBridge } from '../../../renderer/state/bridge.ts'
import { app, nativeTheme, powerMonitor } from './fake-electron.ts'
import { electron, type FakeQuestion, resetElectron } from './fake-state.ts'
import type { FakeWebContents, FakeWindow } from './fake-window.ts'

/** What the program listens to that outlives it in the process of a test. */
const HEARD: readonly (readonly [EventEmitter, string])[] = [
  ...['uncaughtException', 'unhandledRejection', 'SIGTERM', 'SIGINT', 'SIGHUP'].map(
    (name) => [process as EventEmitter, name] as const,
  ),
  [process.stdout, 'error'],
  [process.stderr, 'error'],
]

export interface Desktop {
  /** With the catalogue `catalogue.sqlite`, and the log and all else that the program keeps for itself. */
  readonly folder: string
}

/** A folder and an untouched Electron for each test of the file; what still runs after a test is ended. */
export function setUpDesktop(): Desktop {
  const desktop = { folder: '' }
  let listeners: (readonly unknown[])[] = []

  beforeEach(async () => {
    await buildWindowIfNeeded(() => {})
    desktop.folder = mkdtempSync(join(tmpdir(), 'takeloft-electron-'))
    // Where env-paths and Node look for the user's folders.
    vi.stubEnv('HOME', desktop.folder)
    for (const name of ['XDG_STATE_HOME', 'XDG_DATA_HOME', 'XDG_CACHE_HOME']) {
      vi.stubEnv(name, join(desktop.folder, 'home'))
    }
    vi.spyOn(console, 'error').mockImplementation(() => {})
    listeners = HEARD.map(([emitter, name]) => emitter.listeners(name))
    resetDesktop()
    electron.switches.set('catalogue', join(desktop.folder, 'catalogue.sqlite'))
  })

  afterEach(async () => {
    if (electron.windows.length > 0) await endNow()
    for (const [k, [emitter, name]] of HEARD.entries()) {
      for (const one of emitter.listeners(name)) {
        if (!listeners[k].includes(one)) emitter.off(name, one as () => void)
      }
    }
    vi.unstubAllEnvs()
    rmSync(desktop.folder, { recursive: true, force: true })
  })
  return desktop
}

function resetDesktop(): void {
  vi.resetModules()
  resetElectron()
  app.removeAllListeners()
  app.hearWindows()
  powerMonitor.removeAllListeners()
  nativeTheme.shouldUseDarkColors = false
}

/** Runs the program's entry up to the window that it opens. */
export async function start(): Promise<FakeWindow> {
  const loaded = nextWindow()
  await import('../../../app/hosts/electron/main.ts')
  const window = await loaded
  electron.page = window.webContents
  return window
}

/** The next window that is sent somewhere. */
export async function nextWindow(): Promise<FakeWindow> {
  const [window] = (await once(electron.happened, 'loaded')) as [FakeWindow]
  return window
}

export async function nextQuestion(): Promise<FakeQuestion> {
  const [question] = (await once(electron.happened, 'asked')) as [FakeQuestion]
  return question
}

/** The exit status that the program ends with. */
export async function ended(): Promise<number> {
  const [status] = (await once(electron.happened, 'exit')) as [number]
  return status
}

/** Ends the program as the system does, which asks nobody. */
export function endNow(): Promise<number> {
  const status = ended()
  powerMonitor.emit('shutdown', { preventDefault: () => {} })
  return status
}

/** A page of a window: its preload script, run again as with each load. */
export async function openPage(contents: FakeWebContents = electron.page!): Promise<PreloadBridge> {
  electron.page = contents
  vi.resetModules()
  await import('../../../app/hosts/electron/preload.ts')
  const bridge = electron.exposed.get('takeloftBridge') as PreloadBridge
  // Each page speaks to its own window.
  return Object.fromEntries(
    Object.entries(bridge).map(([name, act]) => [
      name,
      (...args: unknown[]) => {
        electron.page = contents
        return (act as (...args: unknown[]) => unknown)(...args)
      },
    ]),
  ) as unknown as PreloadBridge
}

/** What the window gets for a request. */
export const answer = (url: string, init?: RequestInit): Promise<Response> =>
  electron.windows[0].webContents.session.answers.get('takeloft')!(new Request(url, init))

export const readLog = (): string => readFileSync(join(logFolder(), 'takeloft.log'), 'utf8')
