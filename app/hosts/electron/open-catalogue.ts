// Other catalogues than the first: chosen in the menu, or named by a second start of the program.

import { isAbsolute } from 'node:path'
import { app, type BrowserWindow, dialog, type OpenDialogOptions } from 'electron'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import type { Desks } from './desks.ts'
import type { Log } from './log-file.ts'

const CHOICE: OpenDialogOptions = {
  title: 'Open Catalogue',
  buttonLabel: 'Open',
  filters: [{ name: 'Takeloft catalogue', extensions: ['sqlite'] }],
  properties: ['openFile'],
}

/** @param window the dialog belongs to it; null: to none */
export async function openChosenCatalogue(
  desks: Desks,
  window: BrowserWindow | null,
  log: Log,
): Promise<void> {
  const { canceled, filePaths } =
    window === null ? await dialog.showOpenDialog(CHOICE) : await dialog.showOpenDialog(window, CHOICE)
  const [path] = filePaths
  if (!canceled && path !== undefined) await openOrSay(desks, path, log)
}

/** What a second start tells the first one. */
export interface SecondStart {
  /** Absolute: the two have different working directories. */
  readonly catalogue: string
}

export function openForSecondStarts(desks: Desks, log: Log): void {
  app.on('second-instance', (_event, _words, _folder, said: unknown) => {
    // Any program of this user can say something here.
    const catalogue = (said as Partial<SecondStart> | null)?.catalogue
    if (typeof catalogue === 'string' && isAbsolute(catalogue)) void openOrSay(desks, catalogue, log)
  })
}

async function openOrSay(desks: Desks, path: string, log: Log): Promise<void> {
  try {
    await desks.open(path)
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
