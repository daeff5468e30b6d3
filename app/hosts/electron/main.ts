// The desktop program: opens the workplace, serves it to one window, and closes it properly.

import { join } from 'node:path'
import { app, dialog, Menu } from 'electron'
import { failureDataOf } from '../../contract/failure.ts'
import { serve } from '../../contract/serve.ts'
import { careForCatalogue } from '../../services/catalogue-care.ts'
import { createHandlers } from '../../services/handlers.ts'
import { openWorkplace, type Workplace } from '../../services/workplace.ts'
import { homeCataloguePath } from '../home-catalogue.ts'
import { createWindowAnswers } from '../window-answers.ts'
import { answerFolderDialog } from './folder-dialog.ts'
import { acceptPages } from './ipc-port.ts'
import { createMenu } from './menu.ts'
import { answerWindow, registerWindowScheme, WINDOW_ORIGIN } from './protocol.ts'
import { createWindow } from './window.ts'

const logUnexpected = (error: unknown): void => console.error(error)

async function start(): Promise<void> {
  const workplace = openWorkplace(app.commandLine.getSwitchValue('catalogue') || homeCataloguePath())
  closeBeforeQuitting(workplace)
  answerWindow(createWindowAnswers(workplace), logUnexpected)
  Menu.setApplicationMenu(createMenu())

  const window = createWindow()
  const handlers = createHandlers(workplace)
  answerFolderDialog(window)
  acceptPages(window.webContents, (port) => serve(port, handlers, workplace.subscribe, logUnexpected))
  app.on('second-instance', () => {
    if (window.isMinimized()) window.restore()
    window.focus()
  })
  await window.loadURL(`${WINDOW_ORIGIN}/`)
}

/** The threads end and the catalogue is closed before the program is gone. */
function closeBeforeQuitting(workplace: Workplace): void {
  const stopCare = careForCatalogue(workplace)
  app.once('will-quit', (event) => {
    event.preventDefault()
    stopCare()
    workplace
      .close()
      .catch(logUnexpected)
      .finally(() => app.exit(0))
  })
}

registerWindowScheme()
// The catalogue lies in the folder that is Electron's own on some systems; the window's cache gets one inside it.
app.setPath('userData', join(app.getPath('userData'), 'window'))
app.on('window-all-closed', () => app.quit())
if (app.requestSingleInstanceLock()) {
  // Not awaited: Electron is ready only once this module has run to its end.
  app
    .whenReady()
    .then(start)
    .catch((error: unknown) => {
      logUnexpected(error)
      dialog.showErrorBox('Takeloft cannot start', failureDataOf(error).message)
      app.exit(2)
    })
} else {
  app.quit()
}
