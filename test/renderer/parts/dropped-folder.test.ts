// A dropped folder, with entries as the File and Directory Entries API gives them: asynchronously, and a list of
// entries in parts until an empty one (WICG, File and Directory Entries API, section 6.4, readEntries).

import { expect, it } from 'vitest'
import { chosenFolder, droppedFolder } from '../../../renderer/parts/dropped-folder.ts'

const fileEntry = (name: string, isReadable = true) => ({
  isFile: true,
  isDirectory: false,
  name,
  file: (give: (file: File) => void, fail: (error: Error) => void) =>
    setTimeout(() => (isReadable ? give(new File([], name)) : fail(new Error('gone')))),
})

const PART = 2
function folderEntry(name: string, inside: readonly unknown[]) {
  return {
    isFile: false,
    isDirectory: true,
    name,
    createReader() {
      let at = 0
      return {
        readEntries: (give: (some: unknown[]) => void) =>
          setTimeout(() => {
            const some = inside.slice(at, at + PART)
            at += PART
            give(some)
          }),
      }
    },
  }
}

const dropOf = (...entries: unknown[]) =>
  ({ items: entries.map((entry) => ({ webkitGetAsEntry: () => entry })) }) as unknown as DataTransfer

it('gives all files of a folder and of those in it, without those that cannot be opened', async () => {
  const folder = folderEntry('Paper Sky', [
    fileEntry('1.wav'),
    fileEntry('2.wav'),
    fileEntry('gone.wav', false),
    folderEntry('Doubles', [folderEntry('left', [fileEntry('3.wav')])]),
    fileEntry('4.wav'),
  ])
  const { name, files } = await droppedFolder(dropOf(folder))
  expect(name).toBe('Paper Sky')
  expect(files.map(({ file, folders }) => [...folders, file.name].join('/'))).toEqual([
    '1.wav',
    '2.wav',
    'Doubles/left/3.wav',
    '4.wav',
  ])
})

it('gives files that were dropped without a folder', async () => {
  const { name, files } = await droppedFolder(dropOf(fileEntry('1.wav'), null))
  expect(name).toBe('')
  expect(files).toHaveLength(1)
})

it('reads name and folders from the paths of a chosen folder', () => {
  const file = (path: string) =>
    Object.assign(new File([], path.split('/').at(-1)!), { webkitRelativePath: path })
  const { name, files } = chosenFolder([file('Paper Sky/1.wav'), file('Paper Sky/Doubles/2.wav')])
  expect(name).toBe('Paper Sky')
  expect(files.map(({ folders }) => folders)).toEqual([[], ['Doubles']])
})
