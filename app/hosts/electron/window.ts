// The one window: isolated, sandboxed, and unable to go anywhere else or to be given anything.

import { fileURLToPath } from 'node:url'
import { app, BrowserWindow, dialog, nativeTheme } from 'electron'
import { WINDOW_ORIGIN } from './protocol.ts'

/** Seen from out/main, where this runs. */
const PRELOAD = fileURLToPath(new URL('../preload/preload.cjs', import.meta.url))

/** --paper of renderer/styles/tokens.css, so that nothing flashes before the first paint. */
const PAPER = { light: '#fbf9f4', dark: '#14181c' } as const

export function createWindow(): BrowserWindow {
  const window = new BrowserWindow({
    title: 'Takeloft',
    width: 1440,
    height: 900,
    minWidth: 960,
    minHeight: 600,
    show: false,
    backgroundColor: nativeTheme.shouldUseDarkColors ? PAPER.dark : PAPER.light,
    webPreferences: {
      preload: PRELOAD,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      // A take goes on playing while the window is behind another.
      backgroundThrottling: false,
    },
  })
  window.once('ready-to-show', () => window.show())
  lock(window)
  offerReload(window)
  return window
}

function lock({ webContents }: BrowserWindow): void {
  const stay = (event: { readonly url: string; preventDefault(): void }): void => {
    if (!event.url.startsWith(`${WINDOW_ORIGIN}/`)) event.preventDefault()
  }
  webContents.on('will-navigate', stay)
  webContents.on('will-frame-navigate', stay)
  webContents.on('will-redirect', stay)
  webContents.on('will-attach-webview', (event) => event.preventDefault())
  webContents.setWindowOpenHandler(() => ({ action: 'deny' }))
  const { session } = webContents
  session.setPermissionRequestHandler((_contents, _permission, answer) => answer(false))
  session.setPermissionCheckHandler(() => false)
  session.setDevicePermissionHandler(() => false)
  session.on('will-download', (event) => event.preventDefault())
}

/** A window whose page has crashed is blank; somebody has to say what happened. */
function offerReload(window: BrowserWindow): void {
  window.webContents.on('render-process-gone', (_event, { reason }) => {
    if (reason === 'clean-exit' || window.isDestroyed()) return
    const choice = dialog.showMessageBoxSync(window, {
      type: 'error',
      message: 'The window has stopped working.',
      detail: `What was saved is safe. (${reason})`,
      buttons: ['Open it again', 'Quit'],
      cancelId: 1,
    })
    if (choice === 0) window.webContents.reload()
    else app.quit()
  })
}
