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

const { addGroup, changeLayer, changeTogether, removeLayers } = await import(
  '../../../renderer/acts/stack-acts.ts'
)
const { placeTakes } = await import('../../../renderer/acts/place-acts.ts')
const { changeTakes, removeTakes, withOnlyCurve } = await import('../../../renderer/acts/take-acts.ts')
const { addCurve } = await import('../../../renderer/acts/mic-acts.ts')
const { dismissNotice, shownNotices } = await import('../../../renderer/state/notices.ts')
const { sessionContentsQuery } = await import('../../../renderer/state/queries.ts')
const { queryClient } = await import('../../../renderer/state/query-client.ts')
const { chooseLayers, selectSession, readSelection } = await import('../../../renderer/state/selection.ts')
const { undoHistory } = await import('../../../renderer/state/undo.ts')

const layer = { id: 4, sessionId: 1, groupId: 1, takeId: 9, name: 'Lead 1', gainDb: -3, pan: 0 } as never
const { queryKey } = sessionContentsQuery(1)
const shownGain = () => queryClient.getQueryData(queryKey)!.layers[0].gainDb

let shown = 1000
beforeEach(() => {
  services.calls = []
  services.refuse = false
  // Of another session than those before.
  undoHistory.show(++shown)
  for (const { id } of shownNotices.getState().notices) dismissNotice(id)
  queryClient.setQueryData(queryKey, { session: { id: 1 }, layers: [layer] } as never)
})

describe('a change of chosen layers', () => {
  const three = [
    {
      id: 4,
      sessionId: 1,
      groupId: 1,
      takeId: 9,
      name: 'Lead 1',
      gainDb: -3,
      pan: 0,
      muted: false,
      position: 0,
    },
    {
      id: 5,
      sessionId: 1,
      groupId: 1,
      takeId: 8,
      name: 'Lead 2',
      gainDb: 21,
      pan: 0.5,
      muted: true,
      position: 1,
    },
    {
      id: 6,
      sessionId: 1,
      groupId: 2,
      takeId: 7,
      name: 'Lead 3',
      gainDb: 0,
      pan: 1,
      muted: false,
      position: 2,
    },
  ] as never[]
  const last = () => services.calls.at(-1)
  beforeEach(() => {
    queryClient.setQueryData(queryKey, { session: { id: 1 }, layers: three } as never)
    chooseLayers([4, 5])
  })

  it('moves gains by the same amount, no farther than all can, in one call with one undo', async () => {
    // The range ends at +24 dB, which Lead 2 reaches first.
    expect(await changeTogether(three[0], { gainDb: 12 }, 'gain')).toBe(true)
    const changed = [
      { id: 4, changes: { gainDb: 0 } },
      { id: 5, changes: { gainDb: 24 } },
    ]
    expect(services.calls).toEqual([['updateLayers', { layers: changed }]])
    expect(queryClient.getQueryData(queryKey)!.layers.map(({ gainDb }) => gainDb)).toEqual([0, 24, 0])
    expect(undoHistory.state.getState().undoLabel).toBe('gain of 2 layers')
    await undoHistory.undo()
    const before = [
      { id: 4, changes: { gainDb: -3 } },
      { id: 5, changes: { gainDb: 21 } },
    ]
    expect(last()).toEqual(['updateLayers', { layers: before }])
    expect(queryClient.getQueryData(queryKey)!.layers.map(({ gainDb }) => gainDb)).toEqual([-3, 21, 0])
  })

  it('sets what is no amount, and undoes it to the values of each', async () => {
    await changeTogether(three[0], { muted: true, groupId: 2 }, 'group')
    expect(last()).toEqual([
      'updateLayers',
      {
        layers: [
          { id: 4, changes: { muted: true, groupId: 2 } },
          { id: 5, changes: { muted: true, groupId: 2 } },
        ],
      },
    ])
    await undoHistory.undo()
    expect(last()).toEqual([
      'updateLayers',
      {
        layers: [
          { id: 4, changes: { muted: false, groupId: 1 } },
          { id: 5, changes: { muted: true, groupId: 1 } },
        ],
      },
    ])
  })

  it('concerns a layer that is not chosen alone', async () => {
    await changeTogether(three[2], { pan: 0 }, 'pan')
    expect(last()).toEqual(['updateLayer', { id: 6, changes: { pan: 0 } }])
  })

  it('removes them in one call, and restores them with their ids and places', async () => {
    await removeLayers(three.slice(0, 2))
    expect(last()).toEqual(['removeLayers', { layerIds: [4, 5], groupIds: [] }])
    await undoHistory.undo()
    expect(last()).toMatchObject([
      'addLayers',
      {
        sessionId: 1,
        layers: [
          { id: 4, group: { id: 1 }, position: 0 },
          { id: 5, group: { id: 1 }, position: 1 },
        ],
      },
    ])
  })
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

  it('of several takes is one step, and restores what each had', async () => {
    const takes = [
      { id: 8, voiceId: 1, micId: 2, curveId: 5 },
      { id: 9, voiceId: null, micId: null, curveId: null },
    ]
    await changeTakes(takes as never, { micId: 3, curveId: 7 }, 'mic')
    expect(undoHistory.state.getState().undoLabel).toBe('mic of 2 takes')
    expect(services.calls).toEqual([
      [
        'updateTakes',
        {
          takes: [
            { id: 8, micId: 3, curveId: 7 },
            { id: 9, micId: 3, curveId: 7 },
          ],
        },
      ],
    ])
    await undoHistory.undo()
    expect(services.calls.at(-1)).toEqual(['updateTakes', { takes }])
  })

  it('of the mic takes its curve if it has only one', () => {
    const curves = [
      { id: 1, micId: 3 },
      { id: 2, micId: 4 },
      { id: 5, micId: 4 },
      { id: 6, micId: null },
    ]
    expect([3, 4, 9, null].map((micId) => withOnlyCurve(micId, curves).curveId)).toEqual([
      1,
      null,
      null,
      null,
    ])
  })
})

describe('a creation', () => {
  it('that is redone comes back under its id', async () => {
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

describe('placing takes', () => {
  const session = { id: 1, sampleRateHz: 48_000, startOfDayS: 3600 }
  const groups = [
    { id: 2, name: 'Lead' },
    { id: 3, name: 'Doubles' },
  ]
  const contents = { session, groups, layers: [] } as never
  const take = (id: number, name: string, timeReferenceSamples: number | null = null) =>
    ({ id, name, sampleRateHz: 44_100, timeReferenceSamples }) as never
  const place = (...placings: [take: never, role: string, followsStamp?: true][]) =>
    placeTakes(
      contents,
      placings.map(([one, role, followsStamp]) => ({
        take: one,
        role: role as never,
        groupId: null,
        followsStamp: followsStamp === true,
      })),
    )
  const added = () => services.calls.at(-1) as ['addLayers', { groups: object[]; layers: object[] }]

  it('is one step that makes the missing groups, without a chain', async () => {
    await place(
      [take(7, 'a'), 'lead'],
      [take(8, 'b'), 'harmony'],
      [take(9, 'c'), 'harmony'],
      [take(6, 'd'), 'ad-lib'],
    )
    expect(undoHistory.state.getState().undoLabel).toBe('place 4 takes')
    expect(services.calls).toHaveLength(1)
    const [, { groups: made, layers }] = added()
    expect(made).toEqual([
      { name: 'Harmonies', chainVersionId: null, gainDb: 0 },
      { name: 'Ad-libs', chainVersionId: null, gainDb: 0 },
    ])
    expect(layers).toMatchObject([
      { takeId: 7, group: { id: 2 }, role: 'lead', gainDb: 0, pan: 0, offsetSamples: 0 },
      { takeId: 8, group: { index: 0 }, role: 'harmony' },
      { takeId: 9, group: { index: 0 } },
      { takeId: 6, group: { index: 1 } },
    ])
  })

  it('follows a time stamp in the song, and one outside only where it is asked for', async () => {
    // 1 h and 10 s; 10 h; none. In samples of the take, 44.1 kHz. A layer cannot be 13 h away.
    await place(
      [take(7, 'a', 3610 * 44_100), 'lead'],
      [take(8, 'b', 10 * 3600 * 44_100), 'lead'],
      [take(9, 'c', 0), 'lead'],
      [take(6, 'd', 10 * 3600 * 44_100), 'lead', true],
      [take(5, 'e', 14 * 3600 * 44_100), 'lead', true],
    )
    const offsets = added()[1].layers.map((one) => (one as { offsetSamples: number }).offsetSamples)
    expect(offsets).toEqual([10 * 48_000, 0, 0, 9 * 3600 * 48_000, 0])
    expect(shownNotices.getState().notices.at(-1)?.title).toBe('2 takes placed at their time stamps')
  })

  it('with a new start of the session is one step', async () => {
    const stamped = [{ take: take(7, 'a', (14 * 3600 + 2) * 44_100), role: 'lead' as const, groupId: null }]
    await placeTakes(contents, stamped, 14 * 3600)
    expect(services.calls.map((call) => (call as [string])[0])).toEqual(['updateSession', 'addLayers'])
    expect(added()[1].layers).toMatchObject([{ offsetSamples: 2 * 48_000 }])
    services.calls = []
    await undoHistory.undo()
    expect(services.calls).toMatchObject([
      ['removeLayers', {}],
      ['updateSession', { id: 1, changes: { startOfDayS: 3600 } }],
    ])
    await undoHistory.redo()
    expect(services.calls.at(-2)).toEqual(['updateSession', { id: 1, changes: { startOfDayS: 14 * 3600 } }])
  })
})

describe('a removal', () => {
  it('is undone by adding the same again', async () => {
    await removeLayers([layer])
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
    await removeTakes(1, takes, [takes[1]], [])
    expect(readSelection().takeId).toBe(10)
    await removeTakes(1, takes.slice(0, 2), [takes[1]], [])
    expect(readSelection().takeId).toBe(8)
    await removeTakes(2, takes, [takes[1]], [])
    expect(readSelection().takeId).toBe(8)
  })

  it('of several takes leaves those that are placed, and says so', async () => {
    const takes = [{ id: 8 }, { id: 9 }, { id: 10 }] as never[]
    expect(await removeTakes(1, takes, takes, [{ takeId: 9 }])).toBe(true)
    expect(services.calls).toEqual([['removeTakesFromSession', { sessionId: 1, takeIds: [8, 10] }]])
    expect(shownNotices.getState().notices).toMatchObject([
      { title: '2 takes removed', sentences: ['1 placed in the stack stay.'] },
    ])
    expect(await removeTakes(1, takes, [takes[1]], [{ takeId: 9 }])).toBe(false)
    expect(shownNotices.getState().notices.at(-1)).toMatchObject({ kind: 'failure' })
  })
})
