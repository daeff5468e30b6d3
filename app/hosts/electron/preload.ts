// All that the page gets from Electron: messages in both directions, the path of a chosen or dropped
// file, and the system's dialogs for a folder, for saving and for printing.

import { contextBridge, ipcRenderer, webUtils } from 'electron'
import type { FailureData } from '../../contract/failure.ts'
import type { FileToSave, SaveAnswer } from '../../contract/file-to-save.ts'
import type { Message } from '../../contract/wire/port.ts'
import type { FolderChannel } from './folder-dialog.ts'
import type { Channel, LeftChannel } from './ipc-port.ts'
import type { PrintChannel } from './print.ts'
import type { SaveChannel } from './save-dialog.ts'

const CHANNEL: Channel = 'takeloft-port'
const LEFT_CHANNEL: LeftChannel = 'takeloft-left'
const FOLDER_CHANNEL: FolderChannel = 'takeloft-folder'
const SAVE_CHANNEL: SaveChannel = 'takeloft-save'
const PRINT_CHANNEL: PrintChannel = 'takeloft-print'
/** Tells this page's messages from those of the page before a reload. */
const PAGE = crypto.randomUUID()

/** The page's window has it; Node's types do not. */
declare function addEventListener(type: 'pagehide', listener: () => void): void

// Acts that end after this page has left are kept for the next page.
addEventListener('pagehide', () => ipcRenderer.send(LEFT_CHANNEL, PAGE))

contextBridge.exposeInMainWorld('takeloftBridge', {
  post(message: Message): void {
    ipcRenderer.send(CHANNEL, PAGE, message)
  },
  /** The services live as long as the window does, so nobody has to hear that they are gone. */
  listen(hear: (message: unknown) => void): () => void {
    const onMessage = (_event: unknown, page: unknown, message: unknown): void => {
      if (page === PAGE) hear(message)
    }
    ipcRenderer.on(CHANNEL, onMessage)
    // Gives nothing back: what a function returns here, the page gets.
    return () => {
      ipcRenderer.off(CHANNEL, onMessage)
    }
  },
  pathForFile: (file: Parameters<typeof webUtils.getPathForFile>[0]): string => webUtils.getPathForFile(file),
  chooseFolder: (from: string): Promise<string | null> => ipcRenderer.invoke(FOLDER_CHANNEL, from),
  saveFile: (file: FileToSave): Promise<SaveAnswer> => ipcRenderer.invoke(SAVE_CHANNEL, file),
  print: (): Promise<FailureData | null> => ipcRenderer.invoke(PRINT_CHANNEL),
})
