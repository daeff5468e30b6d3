// One catalogue, open in one window: what they need of each other, until the window is closed.

import { basename, dirname, join } from 'node:path'
import type { BrowserWindow } from 'electron'
import type { LongAct } from '../../contract/long-acts.ts'
import { serve } from '../../contract/serve.ts'
import { createHandlers } from '../../services/handlers.ts'
import { saveFile } from '../../services/save-file.ts'
import { openWorkplace } from '../../services/workplace.ts'
import { homeCataloguePath } from '../home-catalogue.ts'
import { createWindowAnswers } from '../window-answers.ts'
import { catalogueKey } from './catalogue-key.ts'
import { offerToReopen } from './crashed-page.ts'
import { answerFolderDialog } from './folder-dialog.ts'
import { acceptPages } from './ipc-port.ts'
import type { Leavings } from './leaving.ts'
import type { Log } from './log-file.ts'
import { answerPrint } from './print.ts'
import { WINDOW_ORIGIN } from './protocol.ts'
import { answerSaveDialog } from './save-dialog.ts'
import { createWindow } from './window.ts'
import { openWindowSession } from './window-session.ts'

export interface DeskSettings {
  readonly log: Log
  readonly leavings: Leavings
  /** Folders of the program in which nothing of the user's is saved. */
  readonly ownFolders: readonly string[]
}

export interface Desk {
  readonly key: string
  readonly window: BrowserWindow
  /** Ends with the window: once what ran is cancelled and the catalogue is closed. */
  readonly ended: Promise<void>
  /** Shows the page. A load that is overtaken, by a reload or by the window's end, is no failure of the desk. */
  load(): Promise<void>
}

/** @throws Failure as openWorkplace */
export function openDesk(cataloguePath: string, { log, leavings, ownFolders }: DeskSettings): Desk {
  const workplace = openWorkplace(cataloguePath)
  // The catalogue is there by now, so that its key holds.
  const key = catalogueKey(cataloguePath)
  const windowSession = openWindowSession(key, createWindowAnswers(workplace), log.unexpected)
  const window = createWindow({
    title: titleOf(cataloguePath),
    name: key,
    session: windowSession.session,
  })
  const running = (): LongAct[] => workplace.longActs.list().filter(({ hasEnded }) => !hasEnded)
  const handlers = createHandlers(workplace)
  answerFolderDialog(window)
  answerSaveDialog(window, (path, text) => saveFile(workplace, path, text, ownFolders), log.unexpected)
  answerPrint(window)
  acceptPages(window.webContents, (port) => serve(port, handlers, workplace.subscribe, log.unexpected))
  offerToReopen(window, running, log)
  leavings.watch(window, running)
  log.note(`Opened ${cataloguePath}.`)

  const { promise: ended, resolve } = Promise.withResolvers<void>()
  window.on('closed', () => {
    windowSession.end()
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
      // Otherwise it waits for a first paint that may never come.
      if (!window.isDestroyed()) window.show()
    }
  }
  return { key, window, ended, load }
}

/** Tells windows apart; many catalogues have one name, in folders of their own. */
const titleOf = (cataloguePath: string): string =>
  cataloguePath === homeCataloguePath()
    ? 'Takeloft'
    : `${join(basename(dirname(cataloguePath)), basename(cataloguePath))} – Takeloft`
