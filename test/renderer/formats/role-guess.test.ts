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
    ['BGV_hi_2', 'harmony'],
  ] as const)('%s is a %s', (name, role) => {
    expect(guessRole(name)).toBe(role)
  })
  it.each(['take 07', 'Bridge', 'shadow', 'charm', 'leader of men', '夜の歌'])('%s tells none', (name) => {
    expect(guessRole(name)).toBeNull()
  })
  it('reads words that are run together', () => {
    expect(['HookLead', 'verseDbl2', 'BridgeHarmHi'].map((name) => guessRole(name))).toEqual([
      'lead',
      'double',
      'harmony',
    ])
  })
})

describe('the group of a role', () => {
  it('is the one named after it', () => {
    expect(guessGroup('ad-lib', groups, [])).toBe(3)
    expect(guessGroup('double', groups, [])).toBe(2)
    expect(guessGroup('double', groups, [{ groupId: 3, role: 'double' }])).toBe(2)
  })
  it('is else one that holds such layers and is not named after another role', () => {
    const backing = [...groups, { id: 4, name: 'Backing' }]
    expect(guessGroup('harmony', backing, [{ groupId: 4, role: 'harmony' }])).toBe(4)
    // Not the lead's group, whose chain is made for the lead.
    expect(guessGroup('harmony', backing, [{ groupId: 1, role: 'harmony' }])).toBeNull()
  })
  it('is else to be created, never another role’s', () => {
    expect(guessGroup('harmony', groups, [])).toBeNull()
    expect(guessGroup('lead', [], [])).toBeNull()
  })
})
