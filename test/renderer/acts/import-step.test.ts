// An import in the undo history: under what is done with its takes while it runs, and gone if it brought nothing.

import { beforeEach, expect, it, vi } from 'vitest'

const calls = vi.hoisted(() => [] as unknown[])
vi.mock('../../../renderer/state/connection.ts', () => ({
  on: () => () => {},
  client: new Proxy(
    {},
    { get: (_, name: string) => async (input: object) => void calls.push([name, input]) },
  ),
}))
const { beginImportStep } = await import('../../../renderer/acts/import-step.ts')
const { undoHistory } = await import('../../../renderer/state/undo.ts')

const place = { label: 'place Lead 1', redo: async () => {}, undo: async () => void calls.push('unplaced') }
const brought = { sessionId: 1, takeIds: [7, 8] }

let shown = 1000
beforeEach(() => {
  calls.length = 0
  // Of another session than those before.
  undoHistory.show(++shown)
})

it('is undone after what was done with its first takes meanwhile, and redone', async () => {
  const { end } = beginImportStep('import of 2 files', 1)
  await undoHistory.perform(place)
  end([7, 8])
  await undoHistory.undo()
  expect(undoHistory.state.getState().undoLabel).toBe('import of 2 files')
  await undoHistory.undo()
  await undoHistory.redo()
  expect(calls).toEqual(['unplaced', ['removeTakesFromSession', brought], ['addTakesToSession', brought]])
})

it('that still runs is cancelled by its undo, which takes out what came by then', async () => {
  const { undone, end } = beginImportStep('import of 40 files', 1)
  undone.addEventListener('abort', () => end([7, 8]))
  await undoHistory.undo()
  expect(undone.aborted).toBe(true)
  expect(calls).toEqual([['removeTakesFromSession', brought]])
})

it('that brought nothing is no step', async () => {
  const { end } = beginImportStep('import of 1 file', 1)
  end([])
  await undoHistory.undo()
  expect(undoHistory.state.getState()).toEqual({ undoLabel: null, redoLabel: null })
  expect(calls).toEqual([])
})
