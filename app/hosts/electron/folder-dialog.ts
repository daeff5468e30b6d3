// Shows the system's folder dialog for a page, as an alternative to typing the path.

import { type BrowserWindow, dialog } from 'electron'
import { isOwnPage } from './own-page.ts'

const FOLDER_CHANNEL = 'takeloft-folder'
export type FolderChannel = typeof FOLDER_CHANNEL

/** Answers the window's own page with an absolute path, or null when the user cancelled the dialog. */
export function answerFolderDialog(window: BrowserWindow): void {
  const { webContents } = window
  webContents.ipc.handle(FOLDER_CHANNEL, async ({ senderFrame }, from: unknown): Promise<string | null> => {
    if (!isOwnPage(webContents, senderFrame) || typeof from !== 'string') return null
    const { canceled, filePaths } = await dialog.showOpenDialog(window, {
      title: 'Choose a folder',
      buttonLabel: 'Use this folder',
      defaultPath: from,
      properties: ['openDirectory', 'createDirectory', 'promptToCreate'],
    })
    return canceled ? null : (filePaths[0] ?? null)
  })
}
