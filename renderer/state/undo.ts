// Undo: every change to the stack or a chain is an act with its way back.
// Acts run one after the other, so that a fast undo never overtakes the change it takes back.

export interface Act {
  /** What the engineer did, as in 'Undo move Lead 1'. */
  readonly label: string
  /** Consecutive acts with the same key within the span of one gesture become one step. */
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
  clear(): void
  get(): UndoState
  subscribe(watcher: () => void): () => void
}

const STEPS_KEPT = 200

export function createUndoHistory(): UndoHistory {
  let done: Act[] = []
  let undone: Act[] = []
  let isSealed = true
  let queue: Promise<unknown> = Promise.resolve()
  let state: UndoState = { undoLabel: null, redoLabel: null }
  const watchers = new Set<() => void>()

  const publish = (): void => {
    state = { undoLabel: done.at(-1)?.label ?? null, redoLabel: undone.at(-1)?.label ?? null }
    for (const watcher of watchers) watcher()
  }
  const inTurn = (step: () => Promise<void>): Promise<void> => {
    const result = queue.then(step)
    queue = result.catch(() => {})
    return result
  }

  return {
    perform: (act) =>
      inTurn(async () => {
        await act.redo()
        const last = done.at(-1)
        const continues = !isSealed && act.mergeKey !== undefined && last?.mergeKey === act.mergeKey
        if (continues && last !== undefined) {
          done = [...done.slice(0, -1), { ...act, undo: () => last.undo() }]
        } else {
          done = [...done, act].slice(-STEPS_KEPT)
        }
        undone = []
        isSealed = false
        publish()
      }),
    undo: () =>
      inTurn(async () => {
        const act = done.at(-1)
        if (act === undefined) return
        await act.undo()
        done = done.slice(0, -1)
        undone = [...undone, act]
        isSealed = true
        publish()
      }),
    redo: () =>
      inTurn(async () => {
        const act = undone.at(-1)
        if (act === undefined) return
        await act.redo()
        undone = undone.slice(0, -1)
        done = [...done, act]
        isSealed = true
        publish()
      }),
    seal() {
      isSealed = true
    },
    clear() {
      done = []
      undone = []
      isSealed = true
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
export const undoHistory = createUndoHistory()
