// What a test sets in the faked Electron, and what it finds there afterwards.

import { EventEmitter } from 'node:events'
import type { FakeSession, FakeWebContents, FakeWindow } from './fake-window.ts'

/** A message box that is open. */
export interface FakeQuestion {
  readonly options: FakeBoxOptions
  readonly window: FakeWindow | null
  /** Presses a button, by what stands on it. */
  press(button: string): void
}

export interface FakeBoxOptions {
  readonly type?: string
  readonly message: string
  readonly detail?: string
  readonly buttons?: string[]
  readonly defaultId?: number
  readonly cancelId?: number
  readonly signal?: AbortSignal
}

export interface FakeMenuItem {
  readonly label?: string
  readonly role?: string
  readonly accelerator?: string
  readonly submenu?: FakeMenuItem[]
  readonly click?: (item: unknown, window: FakeWindow | undefined) => void
}

interface DialogOptions {
  readonly defaultPath?: string
  readonly properties?: string[]
  readonly filters?: { name: string; extensions: string[] }[]
}

const initial = () => ({
  /** Those that have not been closed. */
  windows: [] as FakeWindow[],
  schemes: [] as { scheme: string; privileges: Record<string, boolean> }[],
  /** By partition. */
  sessions: new Map<string, FakeSession>(),
  exposed: new Map<string, unknown>(),
  menu: undefined as FakeMenuItem[] | undefined,
  switches: new Map<string, string>(),
  paths: new Map([
    ['userData', '/nowhere/Takeloft'],
    ['documents', '/nowhere/Documents'],
  ]),
  about: undefined as { applicationName?: string; applicationVersion?: string } | undefined,
  isSandboxed: false,
  isFirst: true,
  /** What a second start would tell the first. */
  said: undefined as unknown,
  errors: [] as string[],
  /** Open message boxes, the oldest first. */
  questions: [] as FakeQuestion[],
  openDialogs: [] as DialogOptions[],
  saveDialogs: [] as DialogOptions[],
  /** What is chosen in the next dialog for a file or folder; null: it is left. */
  chosen: null as string | null,
  prints: [] as object[],
  /** Why the next page is not printed; null: it is. */
  printFailure: null as string | null,
  /** Options of each page that was printed to PDF. */
  pdfs: [] as object[],
  /** What a page becomes as PDF; a failure is thrown, null never comes. */
  pdf: new Uint8Array() as Uint8Array | Error | null,
  openedPaths: [] as string[],
  /** Files shown in the file manager. */
  shown: [] as string[],
  /** The window that the page's messages go to. */
  page: null as FakeWebContents | null,
  /** What the page does when it is left. */
  pageHides: [] as (() => void)[],
})

export const electron = {
  ...initial(),
  /** Emits 'loaded' with each window that has been sent somewhere, 'asked' with each question, 'exit' with the status. */
  happened: new EventEmitter(),
}

export function resetElectron(): void {
  electron.happened.removeAllListeners()
  Object.assign(electron, initial())
}
