// Undo history: every change to takes, the stack, mics or a chain is an act that can be undone.
// Acts run one after the other, so that an undo waits for the change that it reverts.

import { createStore, type StoreApi } from 'zustand/vanilla'

/** Something that can be undone. `undo` and `redo` reject on failure. */
export interface Act {
  /** What is done, in the words shown after Undo: 'remove Lead 1', 'gain of Lead 1'. */
  readonly label: string
  /** Consecutive acts with the same key become one step if they are in one held gesture or within a second. */
  readonly mergeKey?: string
  /** An act on the whole catalogue, which can be undone from any session. */
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
   * Shows the steps of a session and those that outlive sessions. The steps of other sessions are kept until they
   * are shown again; a queued undo or redo is dropped.
   */
  show(sessionId: number | null): void
  /** Removes a step that turned out to have done nothing, once it is there. */
  forget(act: Act): void
  /** What the next undo and redo would do. */
  readonly state: StoreApi<UndoState>
}

/** Of all sessions together. */
const STEPS_KEPT = 500
/** Longest gap within one gesture, unless it is held. */
const GESTURE_MS = 1000

/** An act with the session in which it was requested. */
interface Step {
  readonly act: Act
  readonly sessionId: number | null
}

/** @param nowMs a monotonic clock in ms */
export function createUndoHistory(nowMs: () => number): UndoHistory {
  let done: Step[] = []
  let undone: Step[] = []
  /** The session whose steps are shown. */
  let shown: number | null = null
  /** Counts gestures; an act belongs to the gesture in which it was requested. */
  let gesture = 0
  let lastGesture = -1
  let heldGesture = -1
  let lastAtMs = 0
  /** Counts calls to `show`, so that an undo requested before one does not touch another session. */
  let era = 0
  let queue: Promise<unknown> = Promise.resolve()
  const state = createStore<UndoState>()(() => ({ undoLabel: null, redoLabel: null }))

  const isShown = ({ act, sessionId }: Step): boolean => act.outlivesSession === true || sessionId === shown
  const publish = (): void =>
    state.setState({
      undoLabel: done.findLast(isShown)?.act.label ?? null,
      redoLabel: undone.findLast(isShown)?.act.label ?? null,
    })
  const inTurn = (step: () => Promise<void>): Promise<void> => {
    const result = queue.then(step)
    queue = result.catch(() => {})
    return result
  }
  /** Undoes or redoes the last shown step, and moves it to the other list once that has succeeded. */
  const move = (isUndo: boolean): Promise<void> => {
    const mine = era
    return inTurn(async () => {
      const step = (isUndo ? done : undone).findLast(isShown)
      if (step === undefined || mine !== era) return
      await (isUndo ? step.act.undo() : step.act.redo())
      done = done.filter((one) => one !== step)
      undone = undone.filter((one) => one !== step)
      if (isUndo) undone = [...undone, step]
      else done = [...done, step]
      gesture++
      publish()
    })
  }

  return {
    perform: (act) => {
      const atMs = nowMs()
      const mine = gesture
      const sessionId = shown
      return inTurn(async () => {
        await act.redo()
        const last = done.at(-1)
        const isWithinGap = mine === heldGesture || atMs - lastAtMs < GESTURE_MS
        const isOneGesture = mine === lastGesture && isWithinGap && last?.sessionId === sessionId
        const continues = isOneGesture && act.mergeKey !== undefined && last?.act.mergeKey === act.mergeKey
        lastAtMs = atMs
        lastGesture = mine
        if (continues && last !== undefined) {
          const merged = { ...act, undo: () => last.act.undo() }
          done = [...done.slice(0, -1), { act: merged, sessionId }]
        } else {
          done = [...done, { act, sessionId }].slice(-STEPS_KEPT)
        }
        // What was undone in another session can still be done again there.
        undone = undone.filter((step) => step.act.outlivesSession !== true && step.sessionId !== sessionId)
        publish()
      })
    },
    undo: () => move(true),
    redo: () => move(false),
    seal() {
      gesture++
    },
    hold() {
      gesture++
      heldGesture = gesture
    },
    show(sessionId) {
      if (sessionId === shown) return
      shown = sessionId
      gesture++
      era++
      publish()
    },
    forget(act) {
      void inTurn(async () => {
        done = done.filter((one) => one.act !== act)
        undone = undone.filter((one) => one.act !== act)
        publish()
      })
    },
    state,
  }
}

/** The window's only history. */
export const undoHistory = createUndoHistory(() => performance.now())
