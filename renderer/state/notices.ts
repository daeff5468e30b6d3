// Notices in the window: failures, short remarks, and background tasks with progress and cancel.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import { Failure } from '../../app/contract/failure.ts'
import type { CallOptions } from '../../app/contract/wire/calls.ts'

/** One message; `sentences` follow the title. */
export interface Notice {
  readonly id: number
  readonly kind: 'failure' | 'remark'
  readonly title: string
  readonly sentences: readonly string[]
  /** How often the same was said since it was last dismissed. */
  readonly times: number
}

/** A running act; `fraction` is from 0 to 1, `doing` describes the current step. */
export interface BackgroundTask {
  readonly id: number
  readonly title: string
  readonly fraction: number
  readonly doing: string
  readonly isCancelling: boolean
  cancel(): void
}

/** Remarks disappear after five seconds, or, if they are long, after the time a slow reader needs. */
const REMARK_MS = 5000
const READING_MS_PER_CHARACTER = 65
/** Remarks up to this length are shown beside the transport; longer ones get their own line. */
const BRIEF_CHARACTERS = 84

/** Older ones are dropped. Failures share one line, so that many do not need room. */
const MAX_NOTICES = 50

let lastId = 0
interface Notices {
  readonly notices: readonly Notice[]
  readonly backgroundTasks: readonly BackgroundTask[]
}

/** What is shown now, oldest first. */
export const shownNotices = createStore<Notices>()(() => ({ notices: [], backgroundTasks: [] }))
const setNotices = (change: (notices: readonly Notice[]) => readonly Notice[]): void =>
  shownNotices.setState(({ notices }) => ({ notices: change(notices) }))
const setBackgroundTasks = (
  change: (backgroundTasks: readonly BackgroundTask[]) => readonly BackgroundTask[],
): void => shownNotices.setState(({ backgroundTasks }) => ({ backgroundTasks: change(backgroundTasks) }))

/** All notices that are shown, oldest first. */
export const useNotices = (): readonly Notice[] => useStore(shownNotices, ({ notices }) => notices)
/** All running background tasks, oldest first. */
export const useBackgroundTasks = (): readonly BackgroundTask[] =>
  useStore(shownNotices, ({ backgroundTasks }) => backgroundTasks)

/** Removes a notice; does nothing if it is already gone. */
export const dismissNotice = (id: number): void =>
  setNotices((now) => now.filter((notice) => notice.id !== id))

/** Removes all failures. */
export const dismissFailures = (): void => setNotices((now) => now.filter(({ kind }) => kind !== 'failure'))

function notify(kind: Notice['kind'], title: string, sentences: readonly string[]): void {
  setNotices((now) => {
    const isSame = (other: Notice): boolean =>
      other.kind === kind && other.title === title && other.sentences.join() === sentences.join()
    const times = 1 + (now.find(isSame)?.times ?? 0)
    const notice = { id: ++lastId, kind, title, sentences, times }
    // There is room for one brief and one long remark, so the last ones are kept.
    const makesRoom = (other: Notice): boolean =>
      isSame(other) || (kind === 'remark' && other.kind === 'remark' && isBrief(other) === isBrief(notice))
    return [...now.filter((other) => !makesRoom(other)), notice].slice(-MAX_NOTICES)
  })
}

const lengthOf = ({ title, sentences }: Notice): number =>
  sentences.reduce((length, sentence) => length + 1 + sentence.length, title.length)

/** Whether it is shown beside the transport; failures never are. */
export const isBrief = (notice: Notice): boolean =>
  notice.kind === 'remark' && lengthOf(notice) <= BRIEF_CHARACTERS

/** Lifetime in ms while the pointer is elsewhere; a failure stays until it is dismissed. */
export const lifeMsOf = (notice: Notice): number =>
  notice.kind === 'failure'
    ? Number.POSITIVE_INFINITY
    : Math.max(REMARK_MS, lengthOf(notice) * READING_MS_PER_CHARACTER)

/** Shows a remark that disappears by itself. */
export const remark = (title: string, ...sentences: string[]): void => notify('remark', title, sentences)

/** The message of any thrown value. */
export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))

/** Shows that an act failed; cancellation is not reported. */
export function reportFailure(title: string, error: unknown): void {
  if (error instanceof Failure && error.code === 'cancelled') return
  notify('failure', title, [messageOf(error)])
}

/** Runs a short act. A failure is shown as a notice. @returns undefined if it failed */
export async function attempt<T>(title: string, act: () => Promise<T>): Promise<T | undefined> {
  try {
    return await act()
  } catch (error) {
    reportFailure(title, error)
    return undefined
  }
}

/**
 * Runs a background task with visible progress and a way to cancel.
 * @returns undefined if it failed or was cancelled. Both are shown, because a cancelled act may have
 *   kept part of its work
 */
export async function runBackgroundTask<T>(
  title: string,
  act: (options: Required<CallOptions> & { readonly signal: AbortSignal }) => Promise<T>,
): Promise<T | undefined> {
  const id = ++lastId
  const failedTitle = `${title} did not finish`
  // A repeated act replaces the notice of its last failure.
  setNotices((now) => now.filter((notice) => notice.title !== failedTitle))
  const abort = new AbortController()
  const change = (changes: Partial<BackgroundTask>): void =>
    setBackgroundTasks((now) => now.map((item) => (item.id === id ? { ...item, ...changes } : item)))
  const cancel = (): void => {
    change({ isCancelling: true })
    abort.abort()
  }
  setBackgroundTasks((now) => [...now, { id, title, fraction: 0, doing: '', isCancelling: false, cancel }])
  try {
    return await act({
      signal: abort.signal,
      onProgress: (fraction, doing) => change({ fraction, doing }),
    })
  } catch (error) {
    if (error instanceof Failure && error.code === 'cancelled') remark(title, error.message)
    else reportFailure(failedTitle, error)
    return undefined
  } finally {
    setBackgroundTasks((now) => now.filter((item) => item.id !== id))
  }
}
