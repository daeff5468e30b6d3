// The only file that depends on the host: in Electron, messages go through the preload script; in a
// browser, they go through a WebSocket on the page's origin.

import { Failure, type FailureData } from '../../app/contract/failure.ts'
import type { FileToSave, SaveAnswer } from '../../app/contract/file-to-save.ts'
import { PORT_PROTOCOL, WITHOUT_KEY_PAGE } from '../../app/contract/wire/page-key.ts'
import { MAX_MESSAGE_BYTES, type Message, type Port } from '../../app/contract/wire/port.ts'
import { incomingRoute } from '../../app/contract/wire/sound-routes.ts'
import { fetchFromHost, readPageKey, sendToHost } from './host-fetch.ts'

export interface Bridge {
  readonly port: Port
  /** Path of a chosen or dropped file; null if the host does not provide it. */
  pathForFile(file: File): string | null
  /** Opens the system's folder dialog; resolves to the path, or null if cancelled. null in a browser. */
  readonly chooseFolder: ((from: string) => Promise<string | null>) | null
  /**
   * Saves text through the system's dialog, or as a download in a browser.
   * @returns path of the file; null if it is not known or the user cancelled
   * @throws Failure if it cannot be saved
   */
  saveFile(file: FileToSave): Promise<string | null>
  /**
   * Prints the page through the system's dialog.
   * @throws Failure if it cannot be printed
   */
  print(): Promise<void>
  /**
   * Shows a file in the system's file manager. null in a browser.
   * @throws Failure if it is not there any more
   */
  readonly showFile: ((path: string) => Promise<void>) | null
  /** Whether files are sent to the host as copies. */
  readonly sendsFiles: boolean
}

/** What the preload script exposes on `window`. */
export interface PreloadBridge {
  post(message: Message): void
  listen(hear: (message: unknown) => void, closed: () => void): () => void
  pathForFile(file: File): string
  chooseFolder(from: string): Promise<string | null>
  saveFile(file: FileToSave): Promise<SaveAnswer>
  print(): Promise<FailureData | null>
  showFile(path: string): Promise<FailureData | null>
}

declare global {
  interface Window {
    takeloftBridge?: PreloadBridge
  }
}

/** Called once for each page. */
export function openBridge(): Bridge {
  const preload = window.takeloftBridge
  if (preload === undefined) {
    return {
      port: openSocketPort(),
      pathForFile: () => null,
      chooseFolder: null,
      saveFile: download,
      print: async () => window.print(),
      showFile: null,
      sendsFiles: true,
    }
  }
  return {
    port: preload,
    pathForFile: (file) => preload.pathForFile(file) || null,
    chooseFolder: (from) => preload.chooseFolder(from),
    async saveFile(file) {
      const answer = await preload.saveFile(file)
      if (answer !== null && 'failure' in answer) throw Failure.fromData(answer.failure)
      return answer?.savedAs ?? null
    },
    async print() {
      const failure = await preload.print()
      if (failure !== null) throw Failure.fromData(failure)
    },
    async showFile(path) {
      const failure = await preload.showFile(path)
      if (failure !== null) throw Failure.fromData(failure)
    },
    sendsFiles: false,
  }
}

async function download({ name, text }: FileToSave): Promise<null> {
  const url = URL.createObjectURL(new Blob([text], { type: 'application/octet-stream' }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  URL.revokeObjectURL(url)
  return null
}

const PORT_PATH = '/port'

/** A port over a WebSocket; messages posted before it is open are queued until then. */
function openSocketPort(): Port {
  const address = new URL(PORT_PATH, window.location.href)
  address.protocol = address.protocol === 'https:' ? 'wss:' : 'ws:'
  const key = readPageKey()
  const socket = new WebSocket(address, key === null ? PORT_PROTOCOL : [PORT_PROTOCOL, key])
  const early: Message[] = []
  let answerHere: (message: Message) => void = () => {}
  const send = (message: Message): void => {
    const text = JSON.stringify(message)
    if (new Blob([text]).size <= MAX_MESSAGE_BYTES) socket.send(text)
    // On a message this large the host would close the connection, which cancels everything running.
    else if (message.type === 'ask')
      answerHere({ type: 'failed', id: message.id, failure: tooLong().toData() })
  }
  let wasOpen = false
  socket.addEventListener('close', () => {
    if (!wasOpen) void askForAddressIfRefused()
  })
  socket.addEventListener('open', () => {
    wasOpen = true
    for (const message of early.splice(0)) send(message)
  })
  return {
    post(message) {
      if (socket.readyState === WebSocket.CONNECTING) early.push(message)
      else if (socket.readyState === WebSocket.OPEN) send(message)
    },
    listen(hear, closed) {
      answerHere = hear
      const onMessage = (event: MessageEvent): void => {
        try {
          hear(JSON.parse(String(event.data)))
        } catch (error) {
          if (!(error instanceof SyntaxError)) throw error
        }
      }
      socket.addEventListener('message', onMessage)
      socket.addEventListener('close', closed)
      return () => {
        socket.removeEventListener('message', onMessage)
        socket.removeEventListener('close', closed)
      }
    },
  }
}

/** Browsers do not say why a WebSocket failed to open; the status of a request for the same path does. */
async function askForAddressIfRefused(): Promise<void> {
  const answer = await fetchFromHost(PORT_PATH).catch(() => null)
  if (answer?.status === 403) window.location.replace(WITHOUT_KEY_PAGE)
}

const tooLong = (): Failure =>
  new Failure(
    'invalid-input',
    'The request is too large (limit 16 MB). If you chose a file, check that it is the right one.',
  )

/**
 * A path under which the services can read the file: its own, or that of a copy sent to the host.
 * @param onProgress called with the number of bytes sent, where the file is sent
 * @throws Failure `not-readable` if the file could not be sent; `cancelled`
 */
export async function pathOfFile(
  bridge: Bridge,
  file: File,
  signal: AbortSignal,
  onProgress: (bytes: number) => void,
): Promise<string> {
  const path = bridge.pathForFile(file)
  if (path !== null) return path
  try {
    const { status, text } = await sendToHost(incomingRoute(file.name), file, { signal, onProgress })
    if (status !== 200) throw new Error(`the host answered ${status} ${text}`)
    const { path: sent } = JSON.parse(text) as { path: string }
    return sent
  } catch (error) {
    if (signal.aborted) throw new Failure('cancelled', `Sending ${file.name} was cancelled.`)
    const reason = error instanceof Error ? error.message : String(error)
    throw new Failure(
      'not-readable',
      `${file.name} could not be sent to Takeloft (${reason}). Check that the file is still there, then import it again.`,
      { name: file.name },
    )
  }
}
