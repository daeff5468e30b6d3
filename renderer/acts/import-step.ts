// An import as one step of the undo history. It is there from the beginning, so that what is done with the first
// takes while others are still coming is undone before it.

import { client } from '../state/connection.ts'
import { type Act, undoHistory } from '../state/undo.ts'

export interface ImportStep {
  /** Aborted when the step is undone while the import runs. */
  readonly undone: AbortSignal
  /** @param addedIds takes that the session did not have before; without any there is nothing to undo */
  end(addedIds: readonly number[]): void
}

/**
 * Undo cancels what still runs, and takes what the import brought out of the session; the catalogue keeps it.
 * Redo puts that into the session again.
 */
export function beginImportStep(label: string, sessionId: number): ImportStep {
  const undone = new AbortController()
  const { promise: added, resolve } = Promise.withResolvers<number[]>()
  let isFirst = true
  const act: Act = {
    label,
    async redo() {
      // The import itself runs beside the history, because acts wait for each other there.
      if (isFirst) isFirst = false
      else await client.addTakesToSession({ sessionId, takeIds: await added })
    },
    async undo() {
      undone.abort()
      const takeIds = await added
      if (takeIds.length > 0) await client.removeTakesFromSession({ sessionId, takeIds })
    },
  }
  void undoHistory.perform(act)
  return {
    undone: undone.signal,
    end(addedIds) {
      resolve([...addedIds])
      if (addedIds.length === 0) undoHistory.forget(act)
    },
  }
}
