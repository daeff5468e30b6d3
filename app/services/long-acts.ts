// Bounces, imports and the building of the demo: under way for as long as they take, whatever
// becomes of the page that asked for them.

import type { CallContext, LongActOutcome } from '../contract/commands.ts'
import { cancelledFailure, Failure } from '../contract/failure.ts'
import { type LongAct, type LongActSubject, PAGE_GONE } from '../contract/long-acts.ts'

export interface LongActs {
  /**
   * Does `act` on behalf of a call. A cancelled call cancels it; one whose page is gone does not.
   * @throws Failure as `act` gives
   */
  run<T>(
    subject: LongActSubject,
    call: CallContext,
    act: (context: CallContext) => Promise<T>,
    outcomeOf: (result: T) => LongActOutcome,
  ): Promise<T>
  list(): LongAct[]
  /**
   * Waits for an act on behalf of another call, as if that one had asked for it.
   * @throws Failure as the act gives; `not-found` where there is no such act, or its end has been told
   */
  follow(id: number, call: CallContext): Promise<LongActOutcome>
  /** Cancels all of them; done when the last has ended. */
  cancelAll(): Promise<void>
}

interface Entry {
  readonly id: number
  readonly subject: LongActSubject
  readonly abort: AbortController
  /** Calls whose pages are there. */
  readonly calls: Set<CallContext>
  readonly ended: Promise<LongActOutcome>
  fraction: number
  doing: string
  hasEnded: boolean
}

/** Ends that nobody has been told of are kept for so many acts. */
const MOST_UNTOLD = 20

export function createLongActs(): LongActs {
  const entries = new Map<number, Entry>()
  let lastId = 0

  return {
    async run(subject, call, act, outcomeOf) {
      const { promise: ended, resolve, reject } = Promise.withResolvers<LongActOutcome>()
      // Perhaps nobody follows it.
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
    // Whoever cancels an act knows how it ended.
    if (entry.calls.size > 0 || entry.abort.signal.aborted) entries.delete(entry.id)
    const untold = [...entries.values()].filter(({ hasEnded }) => hasEnded)
    for (const { id } of untold.slice(0, Math.max(0, untold.length - MOST_UNTOLD))) entries.delete(id)
  }
}
