// The desktop program: one process, a window for each catalogue that is open, and a proper end.

import { join, resolve } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { app, dialog, Menu, shell } from 'electron'
import { failureDataOf } from '../../contract/failure.ts'
import { PROGRAM } from '../../services/program.ts'
import { homeCataloguePath } from '../home-catalogue.ts'
import { logFolder } from '../log-folder.ts'
import { createDesks } from './desks.ts'
import { watchLeaving } from './leaving.ts'
import { type Log, openLog } from './log-file.ts'
import { createMenu } from './menu.ts'
import { openChosenCatalogue, openForSecondStarts, type SecondStart } from './open-catalogue.ts'
import { printFromMenu } from './print.ts'
import { registerWindowScheme } from './protocol.ts'

/** A thread that hangs does not keep the program from ending; what it leaves is swept at the next start. */
const LONGEST_END_MS = 30_000

async function start(catalogue: string, log: Log): Promise<void> {
  const leavings = watchLeaving(log.unexpected)
  const desks = createDesks({ log, leavings, ownFolders: [app.getPath('userData'), log.folder] })
  // The threads end and the catalogues are closed before the program is gone.
  app.on('will-quit', (event) => {
    event.preventDefault()
    Promise.race([desks.ended(), wait(LONGEST_END_MS)])
      .catch(log.unexpected)
      .finally(() => app.exit(0))
  })
  app.on('window-all-closed', () => app.quit())
  openForSecondStarts(desks, log)
  Menu.setApplicationMenu(
    createMenu({
      openCatalogue: (window) => void openChosenCatalogue(desks, window, log).catch(log.unexpected),
      print: (window) => void printFromMenu(window).catch(log.unexpected),
      openLogFolder: () => void shell.openPath(log.folder).then((why) => why === '' || log.note(why)),
    }),
  )
  await desks.open(catalogue)
  // From now on something may run that would be lost: Node would end the program at such an error.
  process.on('uncaughtException', log.unexpected)
  process.on('unhandledRejection', log.unexpected)
  // The terminal was closed; each further line to it would be an error.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {})
}

registerWindowScheme()
app.enableSandbox()
// The catalogue lies in the folder that is Electron's own on some systems; the windows' cache gets one inside it.
app.setPath('userData', join(app.getPath('userData'), 'window'))
app.setAppLogsPath(logFolder())
app.setAboutPanelOptions({ applicationName: PROGRAM.name, applicationVersion: PROGRAM.version })

/** `--catalogue=FILE` or `--catalogue FILE`; Chromium reads the first form alone. */
function catalogueNamed(): string {
  const at = process.argv.indexOf('--catalogue')
  return app.commandLine.getSwitchValue('catalogue') || (at === -1 ? '' : (process.argv[at + 1] ?? ''))
}

const catalogue = resolve(catalogueNamed() || homeCataloguePath())
if (app.requestSingleInstanceLock({ catalogue } satisfies SecondStart)) {
  const log = openLog(app.getPath('logs'), (entry) => console.error(entry))
  log.note(`${PROGRAM.name} ${PROGRAM.version} on ${process.platform} ${process.arch}.`)
  app.on('child-process-gone', (_event, { type, reason }) =>
    log.note(`A process has ended: ${type}, ${reason}.`),
  )
  // Not awaited: Electron is ready only once this module has run to its end.
  app
    .whenReady()
    .then(() => start(catalogue, log))
    .catch((error: unknown) => {
      log.unexpected(error)
      dialog.showErrorBox('Takeloft cannot start', failureDataOf(error).message)
      app.exit(2)
    })
} else {
  app.quit()
}
