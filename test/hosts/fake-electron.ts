// Electron as far as the desktop host uses it, for tests on a machine without its runtime:
// one main process, one window, one page. What crosses between them is cloned, as it is there.

import { EventEmitter } from 'node:events'

type Answer = (request: Request) => Promise<Response>
type Guard = (event: { url: string; preventDefault(): void }) => void

/** Electron hands arguments across by structured clone. */
const cloned = (args: readonly unknown[]): unknown[] => structuredClone([...args])

export class FakeSession extends EventEmitter {
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
  readonly session = new FakeSession()
  mainFrame = { origin: 'takeloft://window' }
  openHandler: (() => { action: string }) | undefined
  reloads = 0
  isGone = false

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
    queueMicrotask(() => ipcRenderer.emit(channel, {}, ...copy))
  }
  isDestroyed(): boolean {
    return this.isGone
  }
  reload(): void {
    this.reloads++
  }
  setWindowOpenHandler(handler: FakeWebContents['openHandler']): void {
    this.openHandler = handler
  }
  /** Whether the window may go there: asks every listener for that kind of navigation. */
  mayGo(kind: 'will-navigate' | 'will-frame-navigate' | 'will-redirect', url: string): boolean {
    const guards = this.listeners(kind) as Guard[]
    let isStopped = guards.length === 0
    if (isStopped) return true
    for (const guard of guards) guard({ url, preventDefault: () => (isStopped = true) })
    return !isStopped
  }
}

export class FakeWindow extends EventEmitter {
  readonly webContents = new FakeWebContents()
  readonly options: Record<string, unknown>
  readonly loaded: string[] = []
  acts: string[] = []
  constructor(options: Record<string, unknown>) {
    super()
    this.options = options
    electron.windows.push(this)
  }
  async loadURL(url: string): Promise<void> {
    this.loaded.push(url)
    electron.loaded.emit('loaded', this)
  }
  show = (): void => void this.acts.push('show')
  focus = (): void => void this.acts.push('focus')
  restore = (): void => void this.acts.push('restore')
  isMinimized = (): boolean => true
  isDestroyed = (): boolean => false
}

/** What the test sets, and what it finds afterwards. */
export const electron = {
  windows: [] as FakeWindow[],
  /** Emits 'loaded' with each window that has been sent somewhere. */
  loaded: new EventEmitter(),
  schemes: [] as { scheme: string; privileges: Record<string, boolean> }[],
  answers: new Map<string, Answer>(),
  exposed: new Map<string, unknown>(),
  menu: undefined as { role?: string; submenu?: { role?: string }[] }[] | undefined,
  switches: new Map<string, string>(),
  paths: new Map([['userData', '/nowhere/Takeloft']]),
  isFirst: true,
  errors: [] as string[],
  /** Emits 'exit' with the status. */
  ended: new EventEmitter(),
  dialogChoice: 0,
  /** What the dialog for a folder was opened with, and what is chosen in it; null: it is left. */
  folderDialogs: [] as { defaultPath?: string; properties?: string[] }[],
  chosenFolder: null as string | null,
  /** The window that the page's messages go to. */
  page: null as FakeWebContents | null,
}

class FakeApp extends EventEmitter {
  readonly commandLine = { getSwitchValue: (name: string) => electron.switches.get(name) ?? '' }
  getPath = (name: string): string => electron.paths.get(name) ?? ''
  setPath = (name: string, path: string): void => void electron.paths.set(name, path)
  requestSingleInstanceLock = (): boolean => electron.isFirst
  whenReady = (): Promise<void> => Promise.resolve()
  /** As Electron: asks by 'will-quit', and ends unless somebody said that they will. */
  quit = (): void => {
    let isHeld = false
    this.emit('will-quit', { preventDefault: () => (isHeld = true) })
    if (!isHeld) this.exit(0)
  }
  exit = (status: number): void => void electron.ended.emit('exit', status)
}

class FakeRenderer extends EventEmitter {
  send = (channel: string, ...args: unknown[]): void => {
    const { page } = electron
    const copy = cloned(args)
    queueMicrotask(() => page?.receive(page.mainFrame, channel, ...copy))
  }
  invoke = async (channel: string, ...args: unknown[]): Promise<unknown> => {
    const { page } = electron
    return page?.answer(page.mainFrame, channel, ...args)
  }
}

export const app = new FakeApp()
export const ipcRenderer = new FakeRenderer()
export { FakeWindow as BrowserWindow }
export const nativeTheme = { shouldUseDarkColors: false }
export const protocol = {
  registerSchemesAsPrivileged: (schemes: typeof electron.schemes): void =>
    void electron.schemes.push(...schemes),
  handle: (scheme: string, answer: Answer): void => void electron.answers.set(scheme, answer),
}
export const contextBridge = {
  exposeInMainWorld: (name: string, value: unknown): void => void electron.exposed.set(name, value),
}
export const webUtils = { getPathForFile: (file: File): string => `/takes/${file.name}` }
export const Menu = {
  buildFromTemplate: <T>(template: T): T => template,
  setApplicationMenu: (menu: typeof electron.menu): void => {
    electron.menu = menu
  },
}
export const dialog = {
  showErrorBox: (title: string, message: string): void => void electron.errors.push(`${title}: ${message}`),
  showMessageBoxSync: (): number => electron.dialogChoice,
  showOpenDialog: async (
    _window: FakeWindow,
    options: (typeof electron.folderDialogs)[number],
  ): Promise<{ canceled: boolean; filePaths: string[] }> => {
    electron.folderDialogs.push(options)
    const { chosenFolder } = electron
    return { canceled: chosenFolder === null, filePaths: chosenFolder === null ? [] : [chosenFolder] }
  },
}
