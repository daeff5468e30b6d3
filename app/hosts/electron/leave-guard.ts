// Asks before a window closes, a page reloads or the program quits while something runs or is unsaved.
// On a system shutdown or a signal nobody can answer, so the program quits without asking.
// The questions are asynchronous: bounces and playback continue while one is open.

import { app, type BrowserWindow, dialog, type MessageBoxOptions, powerMonitor } from 'electron'
import type { BackgroundTask } from '../../contract/wire/background-tasks.ts'
import { askAboutRunning, askAboutUnsaved } from './questions.ts'

interface Watched {
  readonly window: BrowserWindow
  readonly running: () => readonly BackgroundTask[]
  /** The user has agreed to cancel what is running. */
  mayCancel: boolean
  /** The user has agreed to discard unsaved changes, for one unload. */
  mayUnload: boolean
  /** The next unload belongs to a closing window, not to a reload. */
  isClosing: boolean
}

/** Asks before a window with unsaved work or a running act is left. */
export interface LeaveGuard {
  /** Asks before this window closes or its page unloads. */
  watch(window: BrowserWindow, running: () => readonly BackgroundTask[]): void
}

/** @param logUnexpected receives errors that are not Failures */
export function createLeaveGuard(logUnexpected: (error: unknown) => void): LeaveGuard {
  const all = new Set<Watched>()
  let isQuitting = false
  /** Aborts the open question; null when none is open. */
  let open: AbortController | null = null

  /** Asks and then runs `goOn` or `stay`; does nothing while another question is open. */
  const ask = (window: BrowserWindow, words: MessageBoxOptions, goOn: () => void, stay: () => void): void => {
    if (open !== null) return
    open = new AbortController()
    const { signal } = open
    dialog
      .showMessageBox(window, { ...words, signal })
      .then(({ response }) => {
        open = null
        if (response === 1 && !signal.aborted) goOn()
        else stay()
      })
      .catch((error: unknown) => {
        open = null
        logUnexpected(error)
        stay()
      })
  }
  const quit = (): void => app.quit()
  const stay = (): void => {
    for (const one of all) one.mayCancel = false
  }

  app.on('before-quit', (event) => {
    isQuitting = true
    const busy = [...all].filter((one) => !one.mayCancel && one.running().length > 0)
    const [first] = busy
    if (first === undefined) return
    event.preventDefault()
    isQuitting = false
    const acts = busy.flatMap((one) => one.running())
    const goOn = (): void => {
      for (const one of busy) one.mayCancel = true
      quit()
    }
    ask(first.window, askAboutRunning(acts, 'quit'), goOn, stay)
  })

  const leaveNow = (): void => {
    open?.abort()
    // Closing the last window quits the program.
    const watched = [...all]
    for (const { window } of watched) window.destroy()
    if (watched.length === 0) quit()
  }
  // The sender kills the process after a few seconds, so there is no time to ask.
  for (const signal of ['SIGTERM', 'SIGINT', 'SIGHUP'] as const) process.once(signal, leaveNow)
  const onShutdown = (event: { preventDefault(): void }): void => {
    event.preventDefault()
    leaveNow()
  }
  // Electron's type omits the event argument.
  powerMonitor.on('shutdown', onShutdown as () => void)

  return {
    watch(window, running) {
      const one: Watched = { window, running, mayCancel: false, mayUnload: false, isClosing: false }
      const { webContents } = window
      all.add(one)
      window.on('closed', () => all.delete(one))

      window.on('close', (event) => {
        one.isClosing = true
        const acts = one.mayCancel ? [] : running()
        if (acts.length === 0) return
        event.preventDefault()
        one.isClosing = false
        const again = isQuitting ? quit : () => window.close()
        isQuitting = false
        const goOn = (): void => {
          one.mayCancel = true
          again()
        }
        ask(window, askAboutRunning(acts, 'close'), goOn, stay)
      })

      // Microsoft Windows asks each window before the user session ends; preventing the event delays that.
      window.on('query-session-end', (event) => {
        if (running().length === 0) return
        event.preventDefault()
        quit()
      })
      window.on('session-end', leaveNow)

      // The page's beforeunload handler has blocked the unload, because something is unsaved.
      webContents.on('will-prevent-unload', (event) => {
        if (one.mayUnload) {
          one.mayUnload = false
          event.preventDefault()
          return
        }
        const leaving = isQuitting ? 'quit' : one.isClosing ? 'close' : 'reload'
        const again = { quit, close: () => window.close(), reload: () => webContents.reload() }[leaving]
        isQuitting = false
        one.isClosing = false
        const goOn = (): void => {
          one.mayUnload = true
          again()
        }
        ask(window, askAboutUnsaved(leaving), goOn, stay)
      })
      // Consent covers one page only.
      webContents.on('did-finish-load', () => {
        one.mayUnload = false
      })
    },
  }
}
