// Prints a window's page through the system's dialog, for the menu and for the page itself.

import { type BrowserWindow, dialog, type WebContents } from 'electron'
import { Failure, type FailureData } from '../../contract/failure.ts'
import { isOwnPage } from './own-page.ts'

const PRINT_CHANNEL = 'takeloft-print'
export type PrintChannel = typeof PRINT_CHANNEL

/** Answers the window's own page; null means printed or cancelled by the user. */
export function answerPrint({ webContents }: BrowserWindow): void {
  webContents.ipc.handle(PRINT_CHANNEL, async ({ senderFrame }): Promise<FailureData | null> => {
    if (!isOwnPage(webContents, senderFrame)) return null
    return (await print(webContents))?.toData() ?? null
  })
}

/** Shows a failure in a dialog. */
export async function printFromMenu(window: BrowserWindow): Promise<void> {
  const failure = await print(window.webContents)
  if (failure === null) return
  await dialog.showMessageBox(window, { type: 'error', message: failure.message, buttons: ['OK'] })
}

const print = (contents: WebContents): Promise<Failure | null> =>
  new Promise((resolve) => {
    contents.print({ usePrinterDefaultPageSize: true }, (isDone, reason) => {
      // "Print job canceled" means that the user cancelled.
      if (isDone || /cancel/i.test(reason)) resolve(null)
      else {
        resolve(
          new Failure(
            'not-supported',
            `The page could not be printed (${reason}); check that a printer is set up, or print to a file.`,
            { reason },
          ),
        )
      }
    })
  })
