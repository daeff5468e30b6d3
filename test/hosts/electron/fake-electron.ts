// Electron as far as the desktop host uses it, for tests on a machine without its runtime: the module that
// is imported in its place. What crosses between processes is cloned, as it is there.

import { EventEmitter } from 'node:events'
import { electron, type FakeBoxOptions } from './fake-state.ts'
import { cloned, FakeSession, FakeWindow, isPrevented } from './fake-window.ts'

class FakeApp extends EventEmitter {
  readonly commandLine = { getSwitchValue: (name: string) => electron.switches.get(name) ?? '' }
  isPackaged = true
  private isQuitting = false

  constructor() {
    super()
    this.hearWindows()
  }
  getPath = (name: string): string => electron.paths.get(name) ?? ''
  setPath = (name: string, path: string): void => void electron.paths.set(name, path)
  setAppLogsPath = (path: string): void => void electron.paths.set('logs', path)
  setAboutPanelOptions = (about: typeof electron.about): void => {
    electron.about = about
  }
  enableSandbox = (): void => {
    electron.isSandboxed = true
  }
  requestSingleInstanceLock = (said: unknown): boolean => {
    electron.said = said
    return electron.isFirst
  }
  whenReady = (): Promise<void> => Promise.resolve()
  /** As Electron: asks by 'before-quit', closes the windows, asks by 'will-quit', and ends. */
  quit = (): void => {
    if (isPrevented(this, 'before-quit')) return
    this.isQuitting = true
    if (electron.windows.length === 0) this.endAll()
    else for (const window of [...electron.windows]) window.close()
  }
  exit = (status: number): void => void electron.happened.emit('exit', status)

  /** To be called again after the listeners of `happened` were removed. */
  hearWindows(): void {
    this.isQuitting = false
    electron.happened.on('window stays', () => {
      this.isQuitting = false
    })
    electron.happened.on('window closed', () => {
      if (electron.windows.length > 0) return
      if (this.isQuitting) this.endAll()
      else this.emit('window-all-closed')
    })
  }
  private endAll(): void {
    if (!isPrevented(this, 'will-quit')) this.exit(0)
  }
}

class FakeRenderer {
  on = (channel: string, hear: (...args: unknown[]) => void): void =>
    void electron.happened.on(`to page: ${channel}`, hear)
  off = (channel: string, hear: (...args: unknown[]) => void): void =>
    void electron.happened.off(`to page: ${channel}`, hear)
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

// Of the page's window, where the preload script runs.
Object.assign(globalThis, {
  addEventListener: (name: string, listener: () => void): void => {
    if (name === 'pagehide') electron.pageHides.push(listener)
  },
})

function showMessageBox(
  ...args: [FakeWindow, FakeBoxOptions] | [FakeBoxOptions]
): Promise<{ response: number }> {
  const [window, options] = args.length === 2 ? args : [null, args[0]]
  return new Promise((resolve) => {
    const question = {
      options,
      window,
      press(button: string): void {
        const response = options.buttons?.indexOf(button) ?? -1
        if (response === -1) throw new Error(`There is no button "${button}", but ${options.buttons}`)
        close(response)
      },
    }
    const close = (response: number): void => {
      electron.questions.splice(electron.questions.indexOf(question), 1)
      resolve({ response })
    }
    options.signal?.addEventListener('abort', () => close(options.cancelId ?? 0))
    electron.questions.push(question)
    electron.happened.emit('asked', question)
  })
}

export const app = new FakeApp()
export const ipcRenderer = new FakeRenderer()
export { FakeWindow as BrowserWindow }
export const nativeTheme = { shouldUseDarkColors: false }
export const powerMonitor = new EventEmitter()
export const protocol = {
  registerSchemesAsPrivileged: (schemes: typeof electron.schemes): void =>
    void electron.schemes.push(...schemes),
}
export const session = {
  fromPartition: (name: string): FakeSession => {
    const known = electron.sessions.get(name) ?? new FakeSession()
    electron.sessions.set(name, known)
    return known
  },
}
export const contextBridge = {
  exposeInMainWorld: (name: string, value: unknown): void => void electron.exposed.set(name, value),
}
export const webUtils = { getPathForFile: (file: File): string => `/takes/${file.name}` }
export const shell = {
  openPath: async (path: string): Promise<string> => {
    electron.openedPaths.push(path)
    return ''
  },
  showItemInFolder: (path: string): void => void electron.shown.push(path),
}
export const Menu = {
  buildFromTemplate: <T>(template: T): T => template,
  setApplicationMenu: (menu: typeof electron.menu): void => {
    electron.menu = menu
  },
}

type OpenOptions = (typeof electron.openDialogs)[number]

export const dialog = {
  showErrorBox: (title: string, message: string): void => void electron.errors.push(`${title}: ${message}`),
  showMessageBox,
  showOpenDialog: async (...args: [FakeWindow, OpenOptions] | [OpenOptions]) => {
    electron.openDialogs.push(args.length === 2 ? args[1] : args[0])
    const { chosen } = electron
    return { canceled: chosen === null, filePaths: chosen === null ? [] : [chosen] }
  },
  showSaveDialog: async (_window: FakeWindow, options: OpenOptions) => {
    electron.saveDialogs.push(options)
    return { canceled: electron.chosen === null, filePath: electron.chosen ?? '' }
  },
}
