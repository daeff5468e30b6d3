// Opens one catalogue in one window, connects the two, and closes the catalogue with the window.

import { basename, dirname, join } from 'node:path'
import type { BrowserWindow } from 'electron'
import type { BackgroundTask } from '../../contract/wire/background-tasks.ts'
import { serve } from '../../contract/wire/serve.ts'
import { careForCatalogue } from '../../services/catalogue-care.ts'
import { createHandlers } from '../../services/handlers.ts'
import { saveFile } from '../../services/save-file.ts'
import { openWorkplace } from '../../services/workplace.ts'
import { homeCataloguePath } from '../home-catalogue.ts'
import { createWindowAnswers } from '../window-answers.ts'
import { catalogueKey } from './catalogue-key.ts'
import { offerToReopen } from './crashed-page.ts'
import { answerFolderDialog } from './folder-dialog.ts'
import { acceptPages } from './ipc-port.ts'
import type { LeaveGuard } from './leave-guard.ts'
import type { Log } from './log-file.ts'
import { answerPrint } from './print.ts'
import { WINDOW_ORIGIN } from './protocol.ts'
import { answerSaveDialog } from './save-dialog.ts'
import { printSheet } from './sheet-printer.ts'
import { answerShowFile } from './show-file.ts'
import { createWindow } from './window.ts'
import { openWindowSession } from './window-session.ts'

/** Options for opening a catalogue in a window. */
export interface CatalogueWindowSettings {
  readonly log: Log
  readonly leaveGuard: LeaveGuard
  /** Folders of the program itself, where no user file may be saved. */
  readonly ownFolders: readonly string[]
}

/** An open catalogue with its window. */
export interface CatalogueWindow {
  readonly key: string
  readonly window: BrowserWindow
  /** Resolves after the window has closed, running acts are cancelled and the catalogue is closed. */
  readonly ended: Promise<void>
  /** Loads the page. Never rejects: a reload or a closing window interrupts the load, which is no failure. */
  load(): Promise<void>
}

/** @throws Failure as openWorkplace */
export function openCatalogueWindow(
  cataloguePath: string,
  { log, leaveGuard, ownFolders }: CatalogueWindowSettings,
): CatalogueWindow {
  const workplace = openWorkplace(cataloguePath, undefined, printSheet)
  // Only now does the catalogue's file exist for certain, and the key depends on its real path.
  const key = catalogueKey(cataloguePath)
  const windowSession = openWindowSession(key, createWindowAnswers(workplace), log.unexpected)
  const window = createWindow({
    title: titleOf(cataloguePath),
    name: key,
    session: windowSession.session,
  })
  const running = (): BackgroundTask[] => workplace.backgroundTasks.list().filter(({ hasEnded }) => !hasEnded)
  const handlers = createHandlers(workplace)
  answerFolderDialog(window)
  answerSaveDialog(window, (path, text) => saveFile(workplace, path, text, ownFolders), log.unexpected)
  answerPrint(window)
  answerShowFile(window)
  acceptPages(window.webContents, (port) => serve(port, handlers, workplace.subscribe, log.unexpected))
  offerToReopen(window, running, log)
  leaveGuard.watch(window, running)
  const stopCare = careForCatalogue(workplace)
  log.note(`Opened ${cataloguePath}.`)

  const { promise: ended, resolve } = Promise.withResolvers<void>()
  window.on('closed', () => {
    windowSession.end()
    stopCare()
    workplace
      .close()
      .then(() => log.note(`Closed ${cataloguePath}.`), log.unexpected)
      .finally(resolve)
  })
  const load = async (): Promise<void> => {
    try {
      await window.loadURL(`${WINDOW_ORIGIN}/`)
    } catch (error) {
      log.unexpected(error)
      // The window waits for a first paint, which may never come.
      if (!window.isDestroyed()) window.show()
    }
  }
  return { key, window, ended, load }
}

/** Includes the folder, because many catalogues share one file name. */
const titleOf = (cataloguePath: string): string =>
  cataloguePath === homeCataloguePath()
    ? 'Takeloft'
    : `${join(basename(dirname(cataloguePath)), basename(cataloguePath))} – Takeloft`
