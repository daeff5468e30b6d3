import { describe, expect, it } from 'vitest'
import {
  type FoundFile,
  namesOfFolder,
  roleInFolder,
  sortedFiles,
} from '../../../renderer/formats/folder-names.ts'

const found = (path: string): FoundFile => {
  const folders = path.split('/')
  return { file: new File([], folders.pop()!), folders }
}

describe('the names that a folder tells', () => {
  it.each([
    ['Mira Vale - Paper Sky', 'Mira Vale', 'Paper Sky'],
    ['2026-11-28 Mira Vale – Paper Sky vocals', 'Mira Vale', 'Paper Sky'],
    ['Paper_Sky_takes_20261128', 'New artist', 'Paper Sky'],
    ['half-light', 'New artist', 'half-light'],
    // A date alone is all that there is to call it.
    ['2026-11-28', 'New artist', '2026-11-28'],
    ['', 'New artist', 'New song'],
    ['歌 - 空', '歌', '空'],
  ])('%s', (folder, artistName, songTitle) => {
    expect(namesOfFolder(folder)).toEqual({ artistName, songTitle })
  })
  it('are no longer than a name may be', () => {
    expect(namesOfFolder('x'.repeat(255)).songTitle).toHaveLength(200)
  })
})

describe('the files of a folder', () => {
  it('are its sound files in the order of their numbers, and what else is to be seen', () => {
    const files = ['b 10.wav', 'b 2.WAV', 'Doubles/a.flac', 'notes.txt', '.DS_Store', '.trash/old.wav'].map(
      found,
    )
    const { sound, others } = sortedFiles(files)
    expect(sound.map(({ file }) => file.name)).toEqual(['b 2.WAV', 'b 10.wav', 'a.flac'])
    expect(others).toEqual(['notes.txt'])
  })
  it('have the role of their name before that of their folder, the nearest first', () => {
    const files = ['Doubles/01.wav', 'Doubles/lead 2.wav', 'Lead/adlibs/03.wav', '04.wav'].map(found)
    expect(['01', 'lead 2', '03', '04'].map((name) => roleInFolder(name, files))).toEqual([
      'double',
      'lead',
      'ad-lib',
      null,
    ])
  })
  it('have no role by a folder where two of one name lie in different ones', () => {
    expect(roleInFolder('01', ['Lead/01.wav', 'Doubles/01.wav'].map(found))).toBeNull()
  })
})
