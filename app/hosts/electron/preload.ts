// All that the window gets from Electron: a way to post and hear messages, the path of a
// file that somebody chose or dropped, and the system's dialog for a folder.

import { contextBridge, ipcRenderer, webUtils } from 'electron'
import type { Message } from '../../contract/port.ts'
import type { FolderChannel } from './folder-dialog.ts'
import type { Channel } from './ipc-port.ts'

const CHANNEL: Channel = 'takeloft-port'
const FOLDER_CHANNEL: FolderChannel = 'takeloft-folder'
/** Tells this page's messages from those of the page before a reload. */
const PAGE = crypto.randomUUID()

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
})
