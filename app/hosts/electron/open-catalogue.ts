// Opens further catalogues: chosen in the menu, or named by a second start of the program.

import { isAbsolute } from 'node:path'
import { app, type BrowserWindow, dialog, type OpenDialogOptions } from 'electron'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import type { CatalogueWindows } from './catalogue-windows.ts'
import type { Log } from './log-file.ts'

const CHOICE: OpenDialogOptions = {
  title: 'Open Catalogue',
  buttonLabel: 'Open',
  filters: [{ name: 'Takeloft catalogue', extensions: ['sqlite'] }],
  properties: ['openFile'],
}

/** @param window parent of the dialog; null for none */
export async function openChosenCatalogue(
  windows: CatalogueWindows,
  window: BrowserWindow | null,
  log: Log,
): Promise<void> {
  const { canceled, filePaths } =
    window === null ? await dialog.showOpenDialog(CHOICE) : await dialog.showOpenDialog(window, CHOICE)
  const [path] = filePaths
  if (!canceled && path !== undefined) await openOrSay(windows, path, log)
}

/** Sent by a second start of the program to the first. */
export interface SecondStart {
  /** Absolute, because the two processes have different working directories. */
  readonly catalogue: string
}

export function openForSecondStarts(windows: CatalogueWindows, log: Log): void {
  app.on('second-instance', (_event, _words, _folder, said: unknown) => {
    // Not trusted: any process of this user could send this.
    const catalogue = (said as Partial<SecondStart> | null)?.catalogue
    if (typeof catalogue === 'string' && isAbsolute(catalogue)) void openOrSay(windows, catalogue, log)
  })
}

async function openOrSay(windows: CatalogueWindows, path: string, log: Log): Promise<void> {
  try {
    await windows.open(path)
  } catch (error) {
    if (!(error instanceof Failure)) log.unexpected(error)
    await dialog
      .showMessageBox({
        type: 'error',
        message: 'The catalogue cannot be opened.',
        detail: failureDataOf(error).message,
        buttons: ['OK'],
      })
      .catch(log.unexpected)
  }
}
