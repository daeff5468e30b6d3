// The system's dialog for saving a file, which a page asks for with the text that is to be saved.

import { extname, join } from 'node:path'
import { app, type BrowserWindow, dialog } from 'electron'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import { FileToSave, type SaveAnswer } from '../../contract/file-to-save.ts'
import { isOwnPage } from './own-page.ts'

export const SAVE_CHANNEL = 'takeloft-save'
export type SaveChannel = typeof SAVE_CHANNEL

/** What the endings of the window's files mean. */
const FILTER_NAMES: Readonly<Record<string, string>> = { json: 'Chain', csv: 'Curve' }

/**
 * Answers the window's own page.
 * @param save writes the text to the path that was chosen, where a file may be replaced
 */
export function answerSaveDialog(
  window: BrowserWindow,
  save: (path: string, text: string) => Promise<void>,
  logUnexpected: (error: unknown) => void,
): void {
  const { webContents } = window
  webContents.ipc.handle(SAVE_CHANNEL, async ({ senderFrame }, asked: unknown): Promise<SaveAnswer> => {
    if (!isOwnPage(webContents, senderFrame)) return null
    try {
      const { name, text } = fileOf(asked)
      const ending = extname(name).slice(1)
      const { canceled, filePath } = await dialog.showSaveDialog(window, {
        title: 'Save',
        defaultPath: join(app.getPath('documents'), name),
        filters: ending === '' ? [] : [{ name: FILTER_NAMES[ending] ?? ending, extensions: [ending] }],
        // Elsewhere than on Linux the dialog asks by itself before a file is replaced.
        properties: ['createDirectory', 'showOverwriteConfirmation'],
      })
      if (canceled || filePath === '') return null
      await save(filePath, text)
      return { savedAs: filePath }
    } catch (error) {
      if (!(error instanceof Failure)) logUnexpected(error)
      return { failure: failureDataOf(error) }
    }
  })
}

function fileOf(asked: unknown): FileToSave {
  const parsed = FileToSave.safeParse(asked)
  if (parsed.success) return parsed.data
  throw new Failure('invalid-input', 'That cannot be saved as a file: its name or its text is unusable.')
}
