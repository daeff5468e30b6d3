// Undoable acts as all of them are built: done, undone, redone, and a refusal reported once.

import { beforeEach, describe, expect, it, vi } from 'vitest'
import { Failure } from '../../../app/contract/failure.ts'

vi.hoisted(() => {
  vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => {}, removeItem: () => {} })
})
const services = vi.hoisted(() => ({ calls: [] as unknown[], refuse: false }))
vi.mock('../../../renderer/state/connection.ts', () => ({
  on: () => () => {},
  client: new Proxy(
    {},
    {
      get: (_, name: string) => async (input: object) => {
        if (services.refuse) throw new Failure('not-found', 'There is no such layer. Reload.')
        services.calls.push([name, input])
        return { id: 40, ...input }
      },
    },
  ),
}))

const { addGroup, changeLayer, placeTake, removeLayer } = await import('../../../renderer/acts/stack-acts.ts')
const { changeTake, removeTake } = await import('../../../renderer/acts/take-acts.ts')
const { addCurve } = await import('../../../renderer/acts/mic-acts.ts')
const { dismissNotice, shownNotices } = await import('../../../renderer/state/notices.ts')
const { sessionContentsQuery } = await import('../../../renderer/state/queries.ts')
const { queryClient } = await import('../../../renderer/state/query-client.ts')
const { selectSession, readSelection } = await import('../../../renderer/state/selection.ts')
const { undoHistory } = await import('../../../renderer/state/undo.ts')

const layer = { id: 4, sessionId: 1, groupId: 1, takeId: 9, name: 'Lead 1', gainDb: -3, pan: 0 } as never
const { queryKey } = sessionContentsQuery(1)
const shownGain = () => queryClient.getQueryData(queryKey)!.layers[0].gainDb

beforeEach(() => {
  services.calls = []
  services.refuse = false
  undoHistory.clear()
  for (const { id } of shownNotices.getState().notices) dismissNotice(id)
  queryClient.setQueryData(queryKey, { session: { id: 1 }, layers: [layer] } as never)
})

describe('a change', () => {
  it('is undone to the values before, and shows at once each time', async () => {
    const done = changeLayer(layer, { gainDb: -6 }, 'gain')
    expect(shownGain()).toBe(-6)
    expect(await done).toBe(true)
    expect(undoHistory.state.getState().undoLabel).toBe('gain of Lead 1')
    await undoHistory.undo()
    expect(shownGain()).toBe(-3)
    await undoHistory.redo()
    expect(services.calls).toEqual([
      ['updateLayer', { id: 4, changes: { gainDb: -6 } }],
      ['updateLayer', { id: 4, changes: { gainDb: -3 } }],
      ['updateLayer', { id: 4, changes: { gainDb: -6 } }],
    ])
  })

  it('that is refused is reported once, is no step, and what was shown is read again', async () => {
    services.refuse = true
    const readAgain = vi.spyOn(queryClient, 'invalidateQueries')
    expect(await changeLayer(layer, { gainDb: -6 }, 'gain')).toBe(false)
    expect(shownNotices.getState().notices).toMatchObject([
      { title: 'Failed: gain of Lead 1', sentences: ['There is no such layer. Reload.'] },
    ])
    expect(undoHistory.state.getState().undoLabel).toBeNull()
    expect(readAgain).toHaveBeenCalledWith({ queryKey })
  })

  it('of a take restores every field it set', async () => {
    await changeTake(
      { id: 9, name: 'verse', micId: 2, curveId: 5 } as never,
      { micId: 3, curveId: null },
      'mic',
    )
    await undoHistory.undo()
    expect(services.calls.at(-1)).toEqual(['updateTake', { id: 9, changes: { micId: 2, curveId: 5 } }])
  })
})

describe('a creation', () => {
  it('that is redone comes back under its id', async () => {
    const placed = await placeTake(
      { session: { id: 1 } } as never,
      { id: 9, name: 'verse' } as never,
      'lead',
      2,
    )
    expect(placed).toMatchObject({ id: 40, takeId: 9, offsetSamples: 0, gainDb: 0, pan: 0, muted: false })
    await undoHistory.undo()
    expect(services.calls.at(-1)).toEqual(['removeLayer', { id: 40 }])
    await undoHistory.redo()
    expect(services.calls.at(-1)).toMatchObject(['addLayer', { id: 40, takeId: 9 }])
    await addGroup(1, 'Doubles')
    await undoHistory.undo()
    await undoHistory.redo()
    expect(services.calls.at(-1)).toMatchObject(['createGroup', { id: 40, name: 'Doubles' }])
  })

  it('gives what was made, and nothing where it was refused', async () => {
    expect(await addCurve({ name: 'Flat' } as never)).toMatchObject({ id: 40, name: 'Flat' })
    services.refuse = true
    expect(await addCurve({ name: 'Flat' } as never)).toBeNull()
  })
})

describe('a removal', () => {
  it('is undone by adding the same again', async () => {
    await removeLayer(layer)
    await undoHistory.undo()
    expect(services.calls).toEqual([
      ['removeLayer', { id: 4 }],
      ['addLayer', layer],
    ])
  })

  it('of a take selects the neighbour, unless another session has been opened', async () => {
    vi.stubGlobal('requestAnimationFrame', () => 0)
    const takes = [{ id: 8 }, { id: 9, name: 'verse' }, { id: 10 }] as never[]
    selectSession(1)
    await removeTake(1, takes, takes[1])
    expect(readSelection().takeId).toBe(10)
    await removeTake(1, takes.slice(0, 2), takes[1])
    expect(readSelection().takeId).toBe(8)
    await removeTake(2, takes, takes[1])
    expect(readSelection().takeId).toBe(8)
  })
})
