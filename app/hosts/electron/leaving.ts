// How windows and the program end: after a question while something runs or is unsaved, and at once
// where nobody can be asked, because the system shuts down or the process is told to end. A question
// does not hold up this process, so a bounce goes on, and playback too, while one is open.

import { app, type BrowserWindow, dialog, type MessageBoxOptions, powerMonitor } from 'electron'
import type { LongAct } from '../../contract/long-acts.ts'
import { askAboutRunning, askAboutUnsaved } from './questions.ts'

interface Watched {
  readonly window: BrowserWindow
  readonly running: () => readonly LongAct[]
  /** The user has agreed to cancel what runs. */
  mayCancel: boolean
  /** The user has agreed to lose what is unsaved; for one unload. */
  mayUnload: boolean
  /** The unload that is to come is that of a window that closes, not of a page that is loaded again. */
  isClosing: boolean
}

export interface Leavings {
  /** Asks before this window closes, or its page is left, for as long as it exists. */
  watch(window: BrowserWindow, running: () => readonly LongAct[]): void
}

export function watchLeaving(logUnexpected: (error: unknown) => void): Leavings {
  const all = new Set<Watched>()
  let isQuitting = false
  /** Closes the question that is open; null where none is. */
  let open: AbortController | null = null

  /** Asks, unless a question is open already; then does what the answer wants. */
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
    // The program ends with its last window.
    const watched = [...all]
    for (const { window } of watched) window.destroy()
    if (watched.length === 0) quit()
  }
  // These wait for some seconds at the most, and for no answer.
  for (const signal of ['SIGTERM', 'SIGINT', 'SIGHUP'] as const) process.once(signal, leaveNow)
  const onShutdown = (event: { preventDefault(): void }): void => {
    event.preventDefault()
    leaveNow()
  }
  // Its type leaves the event out.
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

      // Windows asks each window before it ends the session, and waits for the program where one says no.
      window.on('query-session-end', (event) => {
        if (running().length === 0) return
        event.preventDefault()
        quit()
      })
      window.on('session-end', leaveNow)

      // The page refuses to go, because something in it is unsaved.
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
      // What was agreed to for one page is not agreed to for the next.
      webContents.on('did-finish-load', () => {
        one.mayUnload = false
      })
    },
  }
}
