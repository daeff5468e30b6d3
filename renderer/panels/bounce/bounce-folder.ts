// Default folder of a bounce: song, date and part of the song, inside the bounce folder.

/** Characters that some file systems do not allow in names. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
const UNFIT = /[<>:"/\\|?*\u0000-\u001f]+/g

/** Whether a path starts at a root: of this system, a drive or a share. */
const isAbsolute = (path: string): boolean => /^([\\/]|[a-z]:[\\/])/i.test(path)

/**
 * Where a typed folder is: a relative one is beside the catalogue.
 * @param cataloguePath absolute path of the catalogue's file
 */
export function folderAt(cataloguePath: string, typed: string): string {
  if (typed === '' || isAbsolute(typed)) return typed
  const separator = cataloguePath.includes('\\') && !cataloguePath.includes('/') ? '\\' : '/'
  const parts = cataloguePath.split(/[\\/]/).slice(0, -1)
  for (const part of typed.split(/[\\/]/)) {
    if (part === '..') {
      if (parts.length > 1) parts.pop()
    } else if (part !== '.' && part !== '') parts.push(part)
  }
  return parts.join(separator)
}

/**
 * @param root absolute path of the bounce folder, with the separators of this system
 * @param part name of the part of the song that is bounced alone; empty for the whole song
 */
export function offerBounceFolder(
  root: string,
  session: { songTitle: string; date: string },
  part = '',
): string {
  const separator = root.includes('\\') && !root.includes('/') ? '\\' : '/'
  const song = plainWords(session.songTitle)
  const tail = plainWords(part)
  return `${root.replace(/[\\/]+$/, '')}${separator}${song === '' ? 'Song' : song} ${session.date}${tail === '' ? '' : ` ${tail}`}`
}

const plainWords = (text: string): string =>
  text
    .replaceAll(UNFIT, ' ')
    .replaceAll(/\s+/g, ' ')
    .replace(/^[. ]+|[. ]+$/g, '')

/** Folder and file name of a path of any system. */
export function splitPath(path: string): { readonly folder: string; readonly file: string } {
  const end = Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\'))
  return { folder: path.slice(0, Math.max(0, end)), file: path.slice(end + 1) }
}
