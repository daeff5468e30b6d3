// Electron's windows, pages and sessions as far as the desktop host uses them. A window closes and a page
// is left as they are there: a listener may refuse, then the page may, and then a listener may overrule the page.

import { EventEmitter } from 'node:events'
import { electron } from './fake-state.ts'

type Answer = (request: Request) => Promise<Response>
type Guard = (event: { url: string; preventDefault(): void }) => void

/** Electron hands arguments across by structured clone. */
export const cloned = (args: readonly unknown[]): unknown[] => structuredClone([...args])

/** Whether some listener has prevented it. */
export function isPrevented(emitter: EventEmitter, name: string, ...args: unknown[]): boolean {
  let prevented = false
  emitter.emit(name, { preventDefault: () => (prevented = true) }, ...args)
  return prevented
}

export class FakeSession extends EventEmitter {
  readonly answers = new Map<string, Answer>()
  readonly protocol = {
    handle: (scheme: string, answer: Answer): void => {
      if (this.answers.has(scheme)) throw new Error(`Protocol ${scheme} is handled already`)
      this.answers.set(scheme, answer)
    },
    unhandle: (scheme: string): void => void this.answers.delete(scheme),
  }
  permissionRequest:
    | ((contents: unknown, permission: string, answer: (ok: boolean) => void) => void)
    | undefined
  permissionCheck: (() => boolean) | undefined
  device: (() => boolean) | undefined
  setPermissionRequestHandler(handler: FakeSession['permissionRequest']): void {
    this.permissionRequest = handler
  }
  setPermissionCheckHandler(handler: FakeSession['permissionCheck']): void {
    this.permissionCheck = handler
  }
  setDevicePermissionHandler(handler: FakeSession['device']): void {
    this.device = handler
  }
}

class FakeIpc extends EventEmitter {
  readonly handlers = new Map<string, (event: object, ...args: unknown[]) => unknown>()
  handle(channel: string, handler: (event: object, ...args: unknown[]) => unknown): void {
    this.handlers.set(channel, handler)
  }
}

export class FakeWebContents extends EventEmitter {
  readonly ipc = new FakeIpc()
  readonly session: FakeSession
  mainFrame = { origin: 'takeloft://window' }
  openHandler: (() => { action: string }) | undefined
  reloads = 0
  isGone = false
  /** The page's `beforeunload` says that something is unsaved. */
  isUnsaved = false

  constructor(session: FakeSession) {
    super()
    this.session = session
  }

  /** A message of a frame, as the page's process sends it. */
  receive(senderFrame: { origin: string } | null, channel: string, ...args: unknown[]): void {
    this.ipc.emit(channel, { senderFrame }, ...cloned(args))
  }
  /** What the main process answers a frame that asks. */
  async answer(
    senderFrame: { origin: string } | null,
    channel: string,
    ...args: unknown[]
  ): Promise<unknown> {
    const handler = this.ipc.handlers.get(channel)
    if (handler === undefined) throw new Error(`No handler registered for '${channel}'`)
    return structuredClone(await handler({ senderFrame }, ...cloned(args)))
  }
  send(channel: string, ...args: unknown[]): void {
    if (this.isGone) throw new Error('Object has been destroyed')
    const copy = cloned(args)
    queueMicrotask(() => electron.happened.emit(`to page: ${channel}`, {}, ...copy))
  }
  isDestroyed(): boolean {
    return this.isGone
  }
  reload(): void {
    if (!this.mayLeavePage()) return
    this.reloads++
    for (const hide of electron.pageHides.splice(0)) hide()
    this.emit('did-finish-load')
  }
  print(options: object, done: (isDone: boolean, reason: string) => void): void {
    electron.prints.push(options)
    const reason = electron.printFailure
    queueMicrotask(() => done(reason === null, reason ?? ''))
  }
  async printToPDF(options: object): Promise<Uint8Array> {
    electron.pdfs.push(options)
    const { pdf } = electron
    if (pdf instanceof Error) throw pdf
    return pdf ?? new Promise<never>(() => {})
  }
  setWindowOpenHandler(handler: FakeWebContents['openHandler']): void {
    this.openHandler = handler
  }
  mayLeavePage(): boolean {
    return !this.isUnsaved || isPrevented(this, 'will-prevent-unload')
  }
  /** Whether the window may go there: asks every listener for that kind of navigation. */
  mayGo(kind: 'will-navigate' | 'will-frame-navigate' | 'will-redirect', url: string): boolean {
    const guards = this.listeners(kind) as Guard[]
    let isStopped = false
    for (const guard of guards) guard({ url, preventDefault: () => (isStopped = true) })
    return !isStopped
  }
}

export class FakeWindow extends EventEmitter {
  readonly webContents: FakeWebContents
  readonly options: {
    readonly webPreferences: { readonly session: FakeSession; readonly preload: string }
  } & Record<string, unknown>
  readonly loaded: string[] = []
  acts: string[] = []

  constructor(options: FakeWindow['options']) {
    super()
    this.options = options
    this.webContents = new FakeWebContents(options.webPreferences.session)
    electron.windows.push(this)
  }
  async loadURL(url: string): Promise<void> {
    this.loaded.push(url)
    this.webContents.emit('did-finish-load')
    electron.happened.emit('loaded', this)
  }
  show = (): void => void this.acts.push('show')
  focus = (): void => void this.acts.push('focus')
  restore = (): void => void this.acts.push('restore')
  isMinimized = (): boolean => true
  isDestroyed = (): boolean => this.webContents.isGone

  close(): void {
    if (this.isDestroyed()) throw new Error('Object has been destroyed')
    if (isPrevented(this, 'close')) {
      this.stays()
      return
    }
    // The page is asked in its own process.
    queueMicrotask(() => {
      if (this.isDestroyed()) return
      if (this.webContents.mayLeavePage()) this.destroy()
      else this.stays()
    })
  }
  destroy(): void {
    if (this.isDestroyed()) return
    this.webContents.isGone = true
    electron.windows.splice(electron.windows.indexOf(this), 1)
    this.webContents.emit('destroyed')
    this.emit('closed')
    electron.happened.emit('window closed')
  }
  private stays(): void {
    electron.happened.emit('window stays')
  }
}
