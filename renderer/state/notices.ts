// What the window has to say while work goes on: failures, good news, and long acts
// with their progress and a way to cancel.

import { Failure } from '../../app/contract/failure.ts'
import type { CallOptions } from '../../app/contract/wire/calls.ts'
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

/** Good news goes by itself: after five seconds, or what a slow reader takes where there is more of it. */
const REMARK_MS = 5000
const READING_MS_PER_CHARACTER = 65
/** So much is said in passing, beside the transport; what is longer gets a line of its own. */
const BRIEF_CHARACTERS = 84

const MOST_NOTICES = 5

let lastId = 0
const notices = createStore<readonly Notice[]>([])
const longActs = createStore<readonly LongAct[]>([])

export const useNotices = (): readonly Notice[] => useStore(notices)
export const readNotices = (): readonly Notice[] => notices.get()
export const useLongActs = (): readonly LongAct[] => useStore(longActs)

export const dismissNotice = (id: number): void =>
  notices.set((now) => now.filter((notice) => notice.id !== id))

function notify(kind: Notice['kind'], title: string, sentences: readonly string[]): void {
  const notice = { id: ++lastId, kind, title, sentences }
  notices.set((now) => {
    // There is room to say one thing in passing: the last.
    const kept = isBrief(notice) ? now.filter((other) => !isBrief(other)) : now
    return [...kept, notice].slice(-MOST_NOTICES)
  })
}

const lengthOf = ({ title, sentences }: Notice): number =>
  sentences.reduce((length, sentence) => length + 1 + sentence.length, title.length)

/** Said in passing; a failure never is. */
export const isBrief = (notice: Notice): boolean =>
  notice.kind === 'remark' && lengthOf(notice) <= BRIEF_CHARACTERS

/** How long it stays while nobody points at it; a failure stays until it has been read. */
export const lifeMsOf = (notice: Notice): number =>
  notice.kind === 'failure'
    ? Number.POSITIVE_INFINITY
    : Math.max(REMARK_MS, lengthOf(notice) * READING_MS_PER_CHARACTER)

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

/**
 * Runs something long with its progress shown and a way to cancel; undefined where it failed or was
 * cancelled. Either is said, since a cancelled act may have kept a part of its work.
 */
export async function runLongAct<T>(
  title: string,
  act: (options: Required<CallOptions> & { readonly signal: AbortSignal }) => Promise<T>,
): Promise<T | undefined> {
  const id = ++lastId
  const failedTitle = `${title} did not finish`
  // Whoever tries again has read why it failed, and it may be done in a moment.
  notices.set((now) => now.filter((notice) => notice.title !== failedTitle))
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
    if (error instanceof Failure && error.code === 'cancelled') remark(title, error.message)
    else reportFailure(failedTitle, error)
    return undefined
  } finally {
    longActs.set((now) => now.filter((item) => item.id !== id))
  }
}
