// Entry of the desktop program: one process with a window for each open catalogue.

import { join, resolve } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { app, dialog, Menu, shell } from 'electron'
import { failureDataOf } from '../../contract/failure.ts'
import { PROGRAM } from '../../services/program.ts'
import { homeCataloguePath } from '../home-catalogue.ts'
import { keepServing } from '../last-resort.ts'
import { logFolder } from '../log-folder.ts'
import { createCatalogueWindows } from './catalogue-windows.ts'
import { createLeaveGuard } from './leave-guard.ts'
import { type Log, openLog } from './log-file.ts'
import { createMenu } from './menu.ts'
import { openChosenCatalogue, openForSecondStarts, type SecondStart } from './open-catalogue.ts'
import { printFromMenu } from './print.ts'
import { registerWindowScheme } from './protocol.ts'

/** Longest wait for running work on quit. The next start removes what a hanging thread leaves behind. */
const MAX_END_MS = 30_000

async function start(catalogue: string, log: Log): Promise<void> {
  const leaveGuard = createLeaveGuard(log.unexpected)
  const windows = createCatalogueWindows({
    log,
    leaveGuard,
    ownFolders: [app.getPath('userData'), log.folder],
  })
  // Threads must end and catalogues must close before the process exits.
  app.on('will-quit', (event) => {
    event.preventDefault()
    Promise.race([windows.ended(), wait(MAX_END_MS)])
      .catch(log.unexpected)
      .finally(() => app.exit(0))
  })
  app.on('window-all-closed', () => app.quit())
  openForSecondStarts(windows, log)
  Menu.setApplicationMenu(
    createMenu({
      openCatalogue: (window) => void openChosenCatalogue(windows, window, log).catch(log.unexpected),
      print: (window) => void printFromMenu(window).catch(log.unexpected),
      openLogFolder: () => void shell.openPath(log.folder).then((why) => why === '' || log.note(why)),
    }),
  )
  await windows.open(catalogue)
  // Installed only now: before this line there is no running work to lose.
  keepServing({ log: log.note, end: () => Promise.race([windows.ended(), wait(MAX_END_MS)]) })
}

registerWindowScheme()
app.enableSandbox()
// On some systems Electron's own folder also contains the home catalogue, so the windows' caches get a
// subfolder.
app.setPath('userData', join(app.getPath('userData'), 'window'))
app.setAppLogsPath(logFolder())
app.setAboutPanelOptions({ applicationName: PROGRAM.name, applicationVersion: PROGRAM.version })

/** Accepts `--catalogue=FILE` and `--catalogue FILE`; Chromium parses only the first form. */
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
  // Not awaited: Electron becomes ready only after this module has been evaluated.
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
