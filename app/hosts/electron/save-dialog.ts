// Shows the system's save dialog for a page and writes the page's text to the chosen file.

import { extname, join } from 'node:path'
import { app, type BrowserWindow, dialog } from 'electron'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import { FileToSave, type SaveAnswer } from '../../contract/file-to-save.ts'
import { isOwnPage } from './own-page.ts'

const SAVE_CHANNEL = 'takeloft-save'
export type SaveChannel = typeof SAVE_CHANNEL

/** Names of the window's file types by extension. */
const FILTER_NAMES: Readonly<Record<string, string>> = { json: 'Chain', csv: 'Curve' }

/**
 * Answers the window's own page.
 * @param save writes the text to the chosen path; the dialog has already asked about replacing a file
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
        // Only Linux needs an option for this: the other systems always ask before replacing a file.
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
