// Undo: every change to the stack or a chain is an act with its way back.
// Acts run one after the other, so that a fast undo never overtakes the change it takes back.

export interface Act {
  /** What the engineer did, as in 'Undo move Lead 1'. */
  readonly label: string
  /** Acts with the same key that follow each other quickly become one step. */
  readonly mergeKey?: string
  redo(): Promise<unknown>
  undo(): Promise<unknown>
}

export interface UndoState {
  readonly undoLabel: string | null
  readonly redoLabel: string | null
}

export interface UndoHistory {
  /** Does the act and remembers it; an act that fails is not remembered. */
  perform(act: Act): Promise<void>
  undo(): Promise<void>
  redo(): Promise<void>
  /** Ends the current gesture: the next act with the same key is a step of its own. */
  seal(): void
  /** Forgets every step. An act that is under way still ends but is not remembered; a waiting undo or redo is dropped. */
  clear(): void
  get(): UndoState
  subscribe(watcher: () => void): () => void
}

const STEPS_KEPT = 200
/** Acts of one key that follow each other faster are one gesture. */
const GESTURE_MS = 1000

/** @param nowMs a clock that only goes forward */
export function createUndoHistory(nowMs: () => number): UndoHistory {
  let done: Act[] = []
  let undone: Act[] = []
  /** Counts gestures; an act belongs to the one in which it was asked for. */
  let gesture = 0
  let lastGesture = -1
  let lastAtMs = 0
  /** Counts clears: what was asked for before one leaves no step after it. */
  let era = 0
  let queue: Promise<unknown> = Promise.resolve()
  let state: UndoState = { undoLabel: null, redoLabel: null }
  const watchers = new Set<() => void>()

  const publish = (): void => {
    state = { undoLabel: done.at(-1)?.label ?? null, redoLabel: undone.at(-1)?.label ?? null }
    for (const watcher of watchers) watcher()
  }
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
        if (isForgotten()) return
        const last = done.at(-1)
        const isOneGesture = mine === lastGesture && atMs - lastAtMs < GESTURE_MS
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
        if (isForgotten()) return
        done = done.slice(0, -1)
        undone = [...undone, act]
        gesture++
        publish()
      }),
    redo: () =>
      inTurn(async (isForgotten) => {
        const act = undone.at(-1)
        if (act === undefined || isForgotten()) return
        await act.redo()
        if (isForgotten()) return
        undone = undone.slice(0, -1)
        done = [...done, act]
        gesture++
        publish()
      }),
    seal() {
      gesture++
    },
    clear() {
      done = []
      undone = []
      gesture++
      era++
      publish()
    },
    get: () => state,
    subscribe(watcher) {
      watchers.add(watcher)
      return () => watchers.delete(watcher)
    },
  }
}

/** The window's history of acts. */
export const undoHistory = createUndoHistory(() => performance.now())
