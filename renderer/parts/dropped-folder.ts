// The files of a dropped folder, with the folders in which they lie. A browser gives a folder's files only by entries,
// and a list of entries only in parts.

import type { FoundFile } from '../formats/folder-names.ts'

export interface DroppedFolder {
  /** Name of the folder; empty where files were dropped without one. */
  readonly name: string
  /** With the folders between that one and them. */
  readonly files: readonly FoundFile[]
}

/**
 * All files of a drop; those of all folders where several were dropped, named after the first.
 * @param data of the drop event; its entries are read at once, because they are gone after the event
 */
export function droppedFolder(data: DataTransfer): Promise<DroppedFolder> {
  const entries = [...data.items].map((item) => item.webkitGetAsEntry()).filter((entry) => entry !== null)
  return readAll(entries)
}

async function readAll(entries: readonly FileSystemEntry[]): Promise<DroppedFolder> {
  const name = entries.find(({ isDirectory }) => isDirectory)?.name ?? ''
  const files: FoundFile[] = []
  for (const entry of entries) await read(entry, [], files, true)
  return { name, files }
}

async function read(
  entry: FileSystemEntry,
  folders: readonly string[],
  into: FoundFile[],
  isTop = false,
): Promise<void> {
  if (entry.isFile) {
    const file = await new Promise<File | null>((resolve) =>
      // One that cannot be opened is left out, as if it were not there.
      (entry as FileSystemFileEntry).file(resolve, () => resolve(null)),
    )
    if (file !== null) into.push({ file, folders })
    return
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader()
  const inside = isTop ? folders : [...folders, entry.name]
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve) =>
      reader.readEntries(resolve, () => resolve([])),
    )
    if (some.length === 0) return
    for (const one of some) await read(one, inside, into)
  }
}

/** The files of a folder that was chosen in the system's dialog. */
export function chosenFolder(files: readonly File[]): DroppedFolder {
  const paths = files.map(({ webkitRelativePath }) => webkitRelativePath.split('/'))
  return {
    name: paths[0]?.[0] ?? '',
    files: files.map((file, k) => ({ file, folders: paths[k].slice(1, -1) })),
  }
}
