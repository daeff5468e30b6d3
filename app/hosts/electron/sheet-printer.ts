// Prints a self-contained page to PDF in a hidden window without scripts, network or storage.

import { randomUUID } from 'node:crypto'
import { BrowserWindow, session } from 'electron'
import { Failure } from '../../contract/failure.ts'
import { answerSheet, SHEET_URL } from './protocol.ts'

/** A sheet of thousands of lines takes seconds; whatever takes longer has hung. */
const MOST_MS = 60_000

/**
 * @param html a page that needs nothing outside of itself
 * @returns the PDF, on the paper that the page's own style asks for
 * @throws Failure `not-supported` with the reason; `cancelled`
 */
export async function printSheet(html: string, signal: AbortSignal): Promise<Uint8Array> {
  // Without `persist:` it is kept in memory only; a name of its own, so that two sheets never share one.
  const own = session.fromPartition(`sheet-${randomUUID()}`)
  own.setPermissionRequestHandler((_contents, _permission, answer) => answer(false))
  own.setPermissionCheckHandler(() => false)
  answerSheet(own, html)
  const window = new BrowserWindow({
    show: false,
    webPreferences: {
      session: own,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      javascript: false,
    },
  })
  window.webContents.setWindowOpenHandler(() => ({ action: 'deny' }))
  const stopped = AbortSignal.any([signal, AbortSignal.timeout(MOST_MS)])
  const { promise: interrupted, reject } = Promise.withResolvers<never>()
  const stop = (): void => reject(new Error(`it took longer than ${MOST_MS / 1000} s`))
  if (stopped.aborted) stop()
  stopped.addEventListener('abort', stop, { once: true })
  try {
    const print = async (): Promise<Uint8Array> => {
      await window.loadURL(SHEET_URL)
      return window.webContents.printToPDF({
        // The style of the page says which paper and which margins.
        preferCSSPageSize: true,
        printBackground: true,
        generateTaggedPDF: true,
        generateDocumentOutline: true,
      })
    }
    return await Promise.race([print(), interrupted])
  } catch (error) {
    if (signal.aborted) throw new Failure('cancelled', 'Printing the recall sheet was cancelled.')
    const reason = error instanceof Error ? error.message : String(error)
    throw new Failure(
      'not-supported',
      `The recall sheet could not be printed as PDF (${reason}); try again, and restart Takeloft if it fails once more.`,
      { reason },
      error,
    )
  } finally {
    stopped.removeEventListener('abort', stop)
    if (!window.isDestroyed()) window.destroy()
  }
}
