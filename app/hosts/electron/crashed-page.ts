// A window whose page has crashed is blank, so a dialog reports the crash and offers to reload. The catalogue
// and running tasks are in this process and are not affected.

import { type BrowserWindow, dialog } from 'electron'
import type { BackgroundTask } from '../../contract/wire/background-tasks.ts'
import { nameOfBackgroundTask } from '../../words/background-tasks.ts'
import type { Log } from './log-file.ts'

/** After a crash of the page, asks whether to open it again. */
export function offerToReopen(
  window: BrowserWindow,
  running: () => readonly BackgroundTask[],
  log: Log,
): void {
  window.webContents.on('render-process-gone', (_event, { reason, exitCode }) => {
    if (reason === 'clean-exit' || window.isDestroyed()) return
    log.note(`The page of a window has ended: ${reason}, exit code ${exitCode}.`)
    dialog
      .showMessageBox(window, {
        type: 'error',
        message: 'The window has stopped working.',
        detail: [
          `What was saved is safe. (${reason})`,
          ...running().map(({ subject }) => `${nameOfBackgroundTask(subject)} continues.`),
        ].join('\n'),
        buttons: ['Open it again', 'Close the window'],
        defaultId: 0,
        cancelId: 0,
        noLink: true,
      })
      .then(({ response }) => {
        if (window.isDestroyed()) return
        if (response === 0) window.webContents.reload()
        else window.close()
      })
      .catch(log.unexpected)
  })
}
