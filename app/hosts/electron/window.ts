// A window: isolated, sandboxed, and confined to its own page.

import { fileURLToPath } from 'node:url'
import { BrowserWindow, nativeTheme, type Session } from 'electron'
import { WINDOW_ORIGIN } from './protocol.ts'

/** Relative to out/main, from where the built code runs. */
const PRELOAD = fileURLToPath(new URL('../preload/preload.cjs', import.meta.url))

/** --paper of renderer/styles/tokens.css, so that nothing flashes before the first paint. */
const PAPER = { light: '#fbf9f4', dark: '#14181c' } as const

/** Options of a window. */
export interface WindowSettings {
  readonly title: string
  /** Electron stores size and position under this name. */
  readonly name: string
  readonly session: Session
}

/** Sandboxed, without Node, and unable to navigate elsewhere or to open other windows. */
export function createWindow({ title, name, session }: WindowSettings): BrowserWindow {
  const window = new BrowserWindow({
    title,
    name,
    windowStatePersistence: true,
    width: 1440,
    height: 900,
    minWidth: 960,
    minHeight: 600,
    show: false,
    backgroundColor: nativeTheme.shouldUseDarkColors ? PAPER.dark : PAPER.light,
    webPreferences: {
      preload: PRELOAD,
      session,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      // A take must keep playing while the window is behind another.
      backgroundThrottling: false,
    },
  })
  window.once('ready-to-show', () => window.show())
  // The page's own title does not name the catalogue.
  window.on('page-title-updated', (event) => event.preventDefault())
  keepInPlace(window)
  return window
}

function keepInPlace({ webContents }: BrowserWindow): void {
  const stay = (event: { readonly url: string; preventDefault(): void }): void => {
    if (!event.url.startsWith(`${WINDOW_ORIGIN}/`)) event.preventDefault()
  }
  webContents.on('will-navigate', stay)
  webContents.on('will-frame-navigate', stay)
  webContents.on('will-redirect', stay)
  webContents.on('will-attach-webview', (event) => event.preventDefault())
  webContents.setWindowOpenHandler(() => ({ action: 'deny' }))
}
