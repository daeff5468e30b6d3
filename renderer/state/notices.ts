// What the window has to say while work goes on: failures, good news, and long acts
// with their progress and a way to cancel.

import type { CallOptions } from '../../app/contract/connect.ts'
import { Failure } from '../../app/contract/failure.ts'
import { createStore, useStore } from './store.ts'

export interface Notice {
  readonly id: number
  readonly kind: 'failure' | 'remark'
  readonly title: string
  readonly sentences: readonly string[]
}

export interface LongAct {
  readonly id: number
  readonly title: string
  readonly fraction: number
  readonly doing: string
  readonly isCancelling: boolean
  cancel(): void
}

const REMARK_MS = 8000

let lastId = 0
const notices = createStore<readonly Notice[]>([])
const longActs = createStore<readonly LongAct[]>([])

export const useNotices = (): readonly Notice[] => useStore(notices)
export const useLongActs = (): readonly LongAct[] => useStore(longActs)

export const dismissNotice = (id: number): void =>
  notices.set((now) => now.filter((notice) => notice.id !== id))

function notify(kind: Notice['kind'], title: string, sentences: readonly string[]): void {
  const id = ++lastId
  notices.set((now) => [...now, { id, kind, title, sentences }].slice(-5))
  // A failure stays until it has been read.
  if (kind === 'remark') window.setTimeout(() => dismissNotice(id), REMARK_MS)
}

export const remark = (title: string, ...sentences: string[]): void => notify('remark', title, sentences)

/** The sentence of a failure; of anything else thrown, what there is of one. */
export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))

/** Says that an act failed; a cancelled act needs no words. */
export function reportFailure(title: string, error: unknown): void {
  if (error instanceof Failure && error.code === 'cancelled') return
  notify('failure', title, [messageOf(error)])
}

/** Runs something small; a failure becomes a notice. */
export async function attempt<T>(title: string, act: () => Promise<T>): Promise<T | undefined> {
  try {
    return await act()
  } catch (error) {
    reportFailure(title, error)
    return undefined
  }
}

/** Runs something long with its progress shown and a way to cancel; undefined where it failed or was cancelled. */
export async function runLongAct<T>(
  title: string,
  act: (options: Required<CallOptions> & { readonly signal: AbortSignal }) => Promise<T>,
): Promise<T | undefined> {
  const id = ++lastId
  const abort = new AbortController()
  const change = (changes: Partial<LongAct>): void =>
    longActs.set((now) => now.map((item) => (item.id === id ? { ...item, ...changes } : item)))
  const cancel = (): void => {
    change({ isCancelling: true })
    abort.abort()
  }
  longActs.set((now) => [...now, { id, title, fraction: 0, doing: '', isCancelling: false, cancel }])
  try {
    return await act({
      signal: abort.signal,
      onProgress: (fraction, doing) => change({ fraction, doing }),
    })
  } catch (error) {
    if (!abort.signal.aborted) reportFailure(`${title} did not finish`, error)
    return undefined
  } finally {
    longActs.set((now) => now.filter((item) => item.id !== id))
  }
}
