// Shows a file in the system's file manager, selected in its folder.

import { existsSync } from 'node:fs'
import { isAbsolute } from 'node:path'
import { type BrowserWindow, shell } from 'electron'
import { Failure, type FailureData } from '../../contract/failure.ts'
import { isOwnPage } from './own-page.ts'

const SHOW_CHANNEL = 'takeloft-show'
export type ShowChannel = typeof SHOW_CHANNEL

/** Answers the window's own page; null means shown. The file is not opened, so nothing can be run by it. */
export function answerShowFile({ webContents }: BrowserWindow): void {
  webContents.ipc.handle(SHOW_CHANNEL, ({ senderFrame }, path: unknown): FailureData | null => {
    if (!isOwnPage(webContents, senderFrame) || typeof path !== 'string' || !isAbsolute(path)) return null
    if (!existsSync(path)) {
      return new Failure('not-found', `${path} is not there any more; look where it was moved to.`, {
        path,
      }).toData()
    }
    shell.showItemInFolder(path)
    return null
  })
}
