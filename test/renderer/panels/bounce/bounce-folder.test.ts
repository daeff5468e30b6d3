import { describe, expect, it } from 'vitest'
import { offerBounceFolder } from '../../../../renderer/panels/bounce/bounce-folder.ts'

const day = '2026-11-25'

describe('the default bounce folder', () => {
  it('is named after song and date', () => {
    expect(offerBounceFolder('/home/me/bounces', { songTitle: 'First Light', date: day })).toBe(
      '/home/me/bounces/First Light 2026-11-25',
    )
    expect(offerBounceFolder('D:\\bounces\\', { songTitle: 'First Light', date: day })).toBe(
      'D:\\bounces\\First Light 2026-11-25',
    )
  })
  it('has no characters that file systems refuse, and stays inside the bounce folder', () => {
    expect(offerBounceFolder('/b', { songTitle: '../../Who? "Me": AC/DC', date: day })).toBe(
      '/b/Who Me AC DC 2026-11-25',
    )
    expect(offerBounceFolder('/b', { songTitle: '???', date: day })).toBe('/b/Song 2026-11-25')
  })
})
