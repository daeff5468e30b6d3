// Builds undoable acts: do, undo, redo, and report a failure. Used for acts on takes, the stack
// and mics. Chain drafts and curve tracing build their own.

import { reportFailure } from '../state/notices.ts'
import { type Act, undoHistory } from '../state/undo.ts'

/** The two directions of an act, without its label. */
export type Doing = Pick<Act, 'redo' | 'undo'>

/**
 * Does an act and remembers it for undo. A failure becomes a notice.
 * @param onRefused called after a failure, e.g. to reload data that was already shown as changed
 * @returns whether it succeeded
 */
export async function perform(act: Act, onRefused?: () => Promise<unknown>): Promise<boolean> {
  try {
    await tryToPerform(act, onRefused)
    return true
  } catch (error) {
    reportFailure(`Failed: ${act.label}`, error)
    return false
  }
}

/**
 * As perform, for a dialog that shows the failure itself.
 * @throws Failure from the services
 */
export async function tryToPerform(act: Act, onRefused?: () => Promise<unknown>): Promise<void> {
  try {
    await undoHistory.perform(act)
  } catch (error) {
    await onRefused?.()
    throw error
  }
}

/** Sets some fields of an entity; undo restores the values they have now. */
export function changing<T extends object, C extends object>(
  entity: T,
  changes: C,
  set: (fields: C) => Promise<unknown>,
): Doing {
  const before = Object.fromEntries(
    Object.keys(changes).map((key) => [key, entity[key as keyof T & string]]),
  ) as C
  return { redo: () => set(changes), undo: () => set(before) }
}

export interface Creating<T> extends Doing {
  /** The created entity; null until it exists. */
  made(): T | null
}

/**
 * Creates an entity that undo removes. Redo recreates it with the same id, so that later acts on it
 * still apply.
 * @param create gets null the first time, and the removed entity on a redo
 */
export function creating<T>(
  create: (made: T | null) => Promise<T>,
  remove: (made: T) => Promise<unknown>,
): Creating<T> {
  let made: T | null = null
  return {
    made: () => made,
    redo: async () => {
      made = await create(made)
    },
    undo: async () => {
      if (made !== null) await remove(made)
    },
  }
}
