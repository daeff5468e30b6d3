// Which chain a take's proposals go into.

import { expect, it } from 'vitest'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { chainForTake } from '../../../renderer/acts/chain-for-take.ts'

const contents = (chainSharing: 'own' | 'shared', groups = [1, 2]): SessionContents =>
  ({
    session: { id: 7, chainSharing, sharedChainVersionId: 30 },
    groups: groups.map((id) => ({ id, name: `group ${id}`, chainVersionId: id === 2 ? 20 : null })),
    layers: [
      { takeId: 5, groupId: 2 },
      { takeId: 6, groupId: 1 },
      { takeId: 6, groupId: 2 },
    ],
    chainVersions: [{ id: 20 }, { id: 30 }],
  }) as unknown as SessionContents

it('is the chain of the group that holds the take; of several such groups, the current one', () => {
  expect(chainForTake(contents('own'), 5, 1)).toMatchObject({ owner: { groupId: 2 }, used: { id: 20 } })
  expect(chainForTake(contents('own'), 6, 2)).toMatchObject({ owner: { groupId: 2 } })
  expect(chainForTake(contents('own'), 6, null)).toMatchObject({ owner: { groupId: 1 }, used: null })
})

it('is the chain of the current group, or of the first one, for a take that no group holds', () => {
  expect(chainForTake(contents('own'), 9, 2)).toMatchObject({ owner: { groupId: 2 } })
  expect(chainForTake(contents('own'), 9, null)).toMatchObject({ owner: { groupId: 1 } })
  expect(chainForTake(contents('own', []), 9, null)).toBeNull()
})

it('is the shared chain if the groups share one', () => {
  expect(chainForTake(contents('shared'), 5, 1)).toMatchObject({ owner: { groupId: null }, used: { id: 30 } })
})
