import { expect, it } from 'vitest'
import type { ChainVersion } from '../../../../app/contract/entities.ts'
import { newestVersion, versionNumber } from '../../../../renderer/formats/chain/version-words.ts'

const version = (id: number, number: number, changes: Partial<ChainVersion> = {}): ChainVersion => ({
  ...{ id, number, chainId: 1, voiceId: 1, chainName: 'C', stages: [], sha256: 'a'.repeat(64), note: '' },
  ...{
    createdAt: '2026-11-27T10:00:00.000Z',
    node: `${id}d2e`.padEnd(64, '0'),
    parents: [],
    machineName: 'Desk',
  },
  sharesNumber: false,
  ...changes,
})

it('the newest of equal numbers is the one that came last, in whatever order they are listed', () => {
  const all = [version(4, 2), version(7, 12), version(9, 12), version(12, 3)]
  for (const list of [all, all.toReversed(), [all[2]!, all[0]!, all[3]!, all[1]!]]) {
    expect(newestVersion(list)?.id).toBe(9)
  }
  expect(newestVersion([])).toBeUndefined()
})

it('equal numbers are told apart by the hash', () => {
  expect(versionNumber(version(4, 12))).toBe('12')
  expect(versionNumber(version(4, 12, { sharesNumber: true }))).toBe('12 · 4d2e')
})
