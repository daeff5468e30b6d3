// Undo history: every change to takes, the stack, mics or a chain is an act that can be undone.
// Acts run one after the other, so that an undo waits for the change that it reverts.

import { createStore, type StoreApi } from 'zustand/vanilla'

/** Something that can be undone. `undo` and `redo` reject on failure. */
export interface Act {
  /** What is done, in the words shown after Undo: 'remove Lead 1', 'gain of Lead 1'. */
  readonly label: string
  /** Consecutive acts with the same key become one step if they are in one held gesture or within a second. */
  readonly mergeKey?: string
  /** An act on the whole catalogue, which stays in the history when another session is opened. */
  readonly outlivesSession?: true
  redo(): Promise<unknown>
  undo(): Promise<unknown>
}

interface UndoState {
  readonly undoLabel: string | null
  readonly redoLabel: string | null
}

export interface UndoHistory {
  /**
   * Runs the act after those that were requested before it, and adds it to the history.
   * @throws what the act throws; such an act is not added
   */
  perform(act: Act): Promise<void>
  undo(): Promise<void>
  redo(): Promise<void>
  /** Ends the current gesture: the next act is a separate step, whatever its key. */
  seal(): void
  /** Starts a gesture, such as a drag, that lasts until `seal`, however long it pauses. */
  hold(): void
  /**
   * Removes all steps but those that outlive their session. A running act completes but adds no step unless it
   * outlives the session; a queued undo or redo is dropped.
   */
  clear(): void
  /** Removes a step that turned out to have done nothing, once it is there. */
  forget(act: Act): void
  /** What the next undo and redo would do. */
  readonly state: StoreApi<UndoState>
}

const STEPS_KEPT = 200
/** Longest gap within one gesture, unless it is held. */
const GESTURE_MS = 1000

/** @param nowMs a monotonic clock in ms */
export function createUndoHistory(nowMs: () => number): UndoHistory {
  let done: Act[] = []
  let undone: Act[] = []
  /** Counts gestures; an act belongs to the gesture in which it was requested. */
  let gesture = 0
  let lastGesture = -1
  let heldGesture = -1
  let lastAtMs = 0
  /** Counts calls to `clear`, so that an act requested before a clear adds no step after it. */
  let era = 0
  let queue: Promise<unknown> = Promise.resolve()
  const state = createStore<UndoState>()(() => ({ undoLabel: null, redoLabel: null }))

  const publish = (): void =>
    state.setState({ undoLabel: done.at(-1)?.label ?? null, redoLabel: undone.at(-1)?.label ?? null })
  const inTurn = (step: (isForgotten: () => boolean) => Promise<void>): Promise<void> => {
    const mine = era
    const result = queue.then(() => step(() => mine !== era))
    queue = result.catch(() => {})
    return result
  }

  return {
    perform: (act) => {
      const atMs = nowMs()
      const mine = gesture
      return inTurn(async (isForgotten) => {
        await act.redo()
        if (isForgotten() && !act.outlivesSession) return
        const last = done.at(-1)
        const isWithinGap = mine === heldGesture || atMs - lastAtMs < GESTURE_MS
        const isOneGesture = mine === lastGesture && isWithinGap
        const continues = isOneGesture && act.mergeKey !== undefined && last?.mergeKey === act.mergeKey
        lastAtMs = atMs
        lastGesture = mine
        if (continues && last !== undefined) {
          done = [...done.slice(0, -1), { ...act, undo: () => last.undo() }]
        } else {
          done = [...done, act].slice(-STEPS_KEPT)
        }
        undone = []
        publish()
      })
    },
    undo: () =>
      inTurn(async (isForgotten) => {
        const act = done.at(-1)
        if (act === undefined || isForgotten()) return
        await act.undo()
        if (isForgotten() && !act.outlivesSession) return
        done = done.filter((one) => one !== act)
        undone = [...undone, act]
        gesture++
        publish()
      }),
    redo: () =>
      inTurn(async (isForgotten) => {
        const act = undone.at(-1)
        if (act === undefined || isForgotten()) return
        await act.redo()
        if (isForgotten() && !act.outlivesSession) return
        undone = undone.filter((one) => one !== act)
        done = [...done, act]
        gesture++
        publish()
      }),
    seal() {
      gesture++
    },
    hold() {
      gesture++
      heldGesture = gesture
    },
    clear() {
      done = done.filter((act) => act.outlivesSession)
      undone = undone.filter((act) => act.outlivesSession)
      gesture++
      era++
      publish()
    },
    forget(act) {
      void inTurn(async () => {
        done = done.filter((one) => one !== act)
        undone = undone.filter((one) => one !== act)
        publish()
      })
    },
    state,
  }
}

/** The window's only history. Opening another session clears it, apart from acts on the whole catalogue. */
export const undoHistory = createUndoHistory(() => performance.now())
