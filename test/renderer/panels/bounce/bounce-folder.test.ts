import { describe, expect, it } from 'vitest'
import { folderAt, offerBounceFolder, splitPath } from '../../../../renderer/panels/bounce/bounce-folder.ts'

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

describe('a typed bounce folder', () => {
  it('is beside the catalogue where it is relative, and stays where it is absolute', () => {
    expect(folderAt('/music/day/catalogue.sqlite', 'stems')).toBe('/music/day/stems')
    expect(folderAt('/music/day/catalogue.sqlite', './a/../b')).toBe('/music/day/b')
    expect(folderAt('/music/day/catalogue.sqlite', '../out')).toBe('/music/out')
    expect(folderAt('/music/day/catalogue.sqlite', '/out')).toBe('/out')
    expect(folderAt('C:\\music\\catalogue.sqlite', 'stems')).toBe('C:\\music\\stems')
    expect(folderAt('C:\\music\\catalogue.sqlite', 'D:\\out')).toBe('D:\\out')
    expect(folderAt('/music/catalogue.sqlite', '')).toBe('')
  })

  it('is named once, apart from the files in it', () => {
    expect(splitPath('/out/Song/Lead.wav')).toEqual({ folder: '/out/Song', file: 'Lead.wav' })
    expect(splitPath('D:\\out\\Lead.wav')).toEqual({ folder: 'D:\\out', file: 'Lead.wav' })
  })
})
