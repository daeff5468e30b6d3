import { describe, expect, it } from 'vitest'
import { guessGroup, guessRole } from '../../../renderer/formats/role-guess.ts'

const groups = [
  { id: 1, name: 'Lead' },
  { id: 2, name: 'Doubles' },
  { id: 3, name: 'Ad-libs' },
]

describe('the role of a take', () => {
  it.each([
    ['Hook LEAD 3', 'lead'],
    ['main vox', 'lead'],
    ['verse_dbl_L', 'double'],
    ['Double right', 'double'],
    ['Lead double left', 'double'],
    ['adlib 2', 'ad-lib'],
    ['Ad_lib_take_3', 'ad-lib'],
    ['v1 ads', 'ad-lib'],
    ['harm low', 'harmony'],
  ] as const)('%s is a %s', (name, role) => {
    expect(guessRole(name, [])).toBe(role)
  })
  it('without a sign is the lead first and a double of it then', () => {
    expect(guessRole('take 07', [])).toBe('lead')
    expect(guessRole('take 08', [{ role: 'lead' }])).toBe('double')
  })
  it('does not read signs out of the middle of other words', () => {
    expect(guessRole('shadow', [])).toBe('lead')
    expect(guessRole('charm', [])).toBe('lead')
  })
})

describe('the group of a role', () => {
  it('is the one that holds such layers already', () => {
    expect(guessGroup('double', groups, [{ groupId: 3, role: 'double' }])).toBe(3)
  })
  it('is else the one called after it, else the first', () => {
    expect(guessGroup('ad-lib', groups, [])).toBe(3)
    expect(guessGroup('double', groups, [])).toBe(2)
    expect(guessGroup('harmony', groups, [])).toBe(1)
    expect(guessGroup('lead', [], [])).toBeNull()
  })
})
