// Progress of an import: by the bytes of all its files, with the name of the file that is being read.

import { statSync } from 'node:fs'

export interface FileOfImport {
  readonly path: string
  /** What the user calls it. */
  readonly name: string
}

/** Each of its calls reports. `index` is that of the file. */
export interface ImportProgress {
  begin(index: number): void
  /** @param fraction of the file that is measured, 0 to 1 */
  advance(index: number, fraction: number): void
  /** @param isImported false for a file that was refused */
  end(index: number, isImported: boolean): void
}

/** Share of a file that is done when it is measured; then it is compared with other takes, and stored. */
const MEASURED = 0.97

export function createImportProgress(
  files: readonly FileOfImport[],
  report: (fraction: number, doing: string) => void,
): ImportProgress {
  const sizes = files.map(({ path }) => sizeOf(path))
  const total = sizes.reduce((sum, size) => sum + size, 0)
  const done = sizes.map(() => 0)
  /** In the order in which they began, so that the name that is shown rarely changes. */
  const running = new Set<number>()
  let imported = 0

  const tell = (): void => {
    const [first] = running
    const count = `${imported} of ${files.length}`
    const bytes = sizes.reduce((sum, size, index) => sum + size * done[index], 0)
    report(bytes / total, first === undefined ? count : `${count}: ${files[first].name}`)
  }
  return {
    begin(index) {
      running.add(index)
      tell()
    },
    advance(index, fraction) {
      done[index] = fraction * MEASURED
      tell()
    },
    end(index, isImported) {
      done[index] = 1
      running.delete(index)
      if (isImported) imported++
      tell()
    },
  }
}

/** At least 1, so that a batch of files that cannot be read has a length too. */
function sizeOf(path: string): number {
  try {
    return Math.max(1, statSync(path).size)
  } catch {
    return 1
  }
}
