// Runs bounces, imports and demo builds independently of the page that started them.

import { cancelledFailure, Failure } from '../contract/failure.ts'
import {
  type BackgroundTask,
  type BackgroundTaskSubject,
  PAGE_GONE,
} from '../contract/wire/background-tasks.ts'
import type { BackgroundTaskOutcome, CallContext } from '../contract/wire/commands.ts'

/** Tasks that outlive their page, such as a bounce. */
export interface BackgroundTasks {
  /**
   * Runs `act` as a task of a call. Cancelling the call cancels the task; losing its page does not.
   * @throws Failure as `act`
   */
  run<T>(
    subject: BackgroundTaskSubject,
    call: CallContext,
    act: (context: CallContext) => Promise<T>,
    outcomeOf: (result: T) => BackgroundTaskOutcome,
  ): Promise<T>
  list(): BackgroundTask[]
  /**
   * Attaches another call to a task, as if that call had started it.
   * @throws Failure of the task; `not-found` when there is no such task or its outcome was already delivered
   */
  follow(id: number, call: CallContext): Promise<BackgroundTaskOutcome>
  /** Cancels all tasks and resolves when the last has ended. */
  cancelAll(): Promise<void>
}

interface Entry {
  readonly id: number
  readonly subject: BackgroundTaskSubject
  readonly abort: AbortController
  /** Attached calls whose pages are connected. */
  readonly calls: Set<CallContext>
  readonly ended: Promise<BackgroundTaskOutcome>
  fraction: number
  doing: string
  hasEnded: boolean
}

/** Limit of ended tasks that are kept for a later page. */
const MAX_UNTOLD = 20

/** The registry of one workplace, with nothing running yet. */
export function createBackgroundTasks(): BackgroundTasks {
  const entries = new Map<number, Entry>()
  let lastId = 0

  return {
    async run(subject, call, act, outcomeOf) {
      const { promise: ended, resolve, reject } = Promise.withResolvers<BackgroundTaskOutcome>()
      // If nobody follows the task, its failure must not become an unhandled rejection.
      ended.catch(() => {})
      const abort = new AbortController()
      const id = ++lastId
      const entry: Entry = {
        id,
        subject,
        abort,
        calls: new Set(),
        ended,
        fraction: 0,
        doing: '',
        hasEnded: false,
      }
      entries.set(id, entry)
      join(entry, call)
      const context: CallContext = {
        signal: abort.signal,
        report(fraction, doing) {
          Object.assign(entry, { fraction, doing })
          for (const one of entry.calls) one.report(fraction, doing)
        },
      }
      try {
        const result = await act(context)
        resolve(outcomeOf(result))
        return result
      } catch (error) {
        reject(error)
        throw error
      } finally {
        end(entry)
      }
    },

    list: () =>
      [...entries.values()].map(({ id, subject, fraction, doing, hasEnded }) => ({
        id,
        subject,
        fraction,
        doing,
        hasEnded,
      })),

    follow(id, call) {
      const entry = entries.get(id)
      if (entry === undefined) {
        throw new Failure('not-found', 'That has ended; see the Ledger for what was done.', { id })
      }
      if (entry.hasEnded) entries.delete(id)
      else {
        join(entry, call)
        call.report(entry.fraction, entry.doing)
      }
      return entry.ended
    },

    async cancelAll() {
      const running = [...entries.values()].filter(({ hasEnded }) => !hasEnded)
      for (const { abort } of running) abort.abort(cancelledFailure())
      await Promise.allSettled(running.map(({ ended }) => ended))
    },
  }

  function join(entry: Entry, call: CallContext): void {
    const leave = (): void => {
      if (call.signal.reason === PAGE_GONE) entry.calls.delete(call)
      else entry.abort.abort(cancelledFailure())
    }
    entry.calls.add(call)
    if (call.signal.aborted) leave()
    call.signal.addEventListener('abort', leave, { once: true })
  }

  function end(entry: Entry): void {
    entry.hasEnded = true
    // The caller that cancelled the task needs no report.
    if (entry.calls.size > 0 || entry.abort.signal.aborted) entries.delete(entry.id)
    const untold = [...entries.values()].filter(({ hasEnded }) => hasEnded)
    for (const { id } of untold.slice(0, Math.max(0, untold.length - MAX_UNTOLD))) entries.delete(id)
  }
}
