// Everything that the page gets from Electron: messages in both directions, the path of a chosen or
// dropped file, the system's dialogs for choosing a folder, saving and printing, and its file manager.

import { contextBridge, ipcRenderer, webUtils } from 'electron'
import type { FailureData } from '../../contract/failure.ts'
import type { FileToSave, SaveAnswer } from '../../contract/file-to-save.ts'
import type { Message } from '../../contract/wire/port.ts'
import type { FolderChannel } from './folder-dialog.ts'
import type { Channel, LeftChannel } from './ipc-port.ts'
import type { PrintChannel } from './print.ts'
import type { SaveChannel } from './save-dialog.ts'
import type { ShowChannel } from './show-file.ts'

const CHANNEL: Channel = 'takeloft-port'
const LEFT_CHANNEL: LeftChannel = 'takeloft-left'
const FOLDER_CHANNEL: FolderChannel = 'takeloft-folder'
const SAVE_CHANNEL: SaveChannel = 'takeloft-save'
const PRINT_CHANNEL: PrintChannel = 'takeloft-print'
const SHOW_CHANNEL: ShowChannel = 'takeloft-show'
/** Distinguishes this page's messages from those of the page before a reload. */
const PAGE = crypto.randomUUID()

/** A global of the page that Node's types do not declare. */
declare function addEventListener(type: 'pagehide', listener: () => void): void

// Closes this page's port, so that the results of background tasks that end later are kept for the next page.
addEventListener('pagehide', () => ipcRenderer.send(LEFT_CHANNEL, PAGE))

contextBridge.exposeInMainWorld('takeloftBridge', {
  post(message: Message): void {
    ipcRenderer.send(CHANNEL, PAGE, message)
  },
  /** Takes no `closed` callback, because the services live as long as the window. */
  listen(hear: (message: unknown) => void): () => void {
    const onMessage = (_event: unknown, page: unknown, message: unknown): void => {
      if (page === PAGE) hear(message)
    }
    ipcRenderer.on(CHANNEL, onMessage)
    // A block body, because the page would receive the returned value.
    return () => {
      ipcRenderer.off(CHANNEL, onMessage)
    }
  },
  pathForFile: (file: Parameters<typeof webUtils.getPathForFile>[0]): string => webUtils.getPathForFile(file),
  chooseFolder: (from: string): Promise<string | null> => ipcRenderer.invoke(FOLDER_CHANNEL, from),
  saveFile: (file: FileToSave): Promise<SaveAnswer> => ipcRenderer.invoke(SAVE_CHANNEL, file),
  print: (): Promise<FailureData | null> => ipcRenderer.invoke(PRINT_CHANNEL),
  showFile: (path: string): Promise<FailureData | null> => ipcRenderer.invoke(SHOW_CHANNEL, path),
})
