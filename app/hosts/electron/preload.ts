// All that the window gets from Electron: a way to post and hear messages, the path of a file that
// somebody chose or dropped, and the system's dialogs for a folder, for saving and for printing.

import { contextBridge, ipcRenderer, webUtils } from 'electron'
import type { FailureData } from '../../contract/failure.ts'
import type { FileToSave, SaveAnswer } from '../../contract/file-to-save.ts'
import type { Message } from '../../contract/port.ts'
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

/** Of the page's window; Node's types know of none. */
declare function addEventListener(type: 'pagehide', listener: () => void): void

// What ends between this page and the next has nobody to be told, and is kept for the next.
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
