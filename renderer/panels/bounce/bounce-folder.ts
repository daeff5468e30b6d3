// Default folder of a bounce: song and date, inside the bounce folder.

/** Characters that some file systems do not allow in names. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
const UNFIT = /[<>:"/\\|?*\u0000-\u001f]+/g

/** @param root absolute path of the bounce folder, with the separators of this system */
export function offerBounceFolder(root: string, session: { songTitle: string; date: string }): string {
  const separator = root.includes('\\') && !root.includes('/') ? '\\' : '/'
  const song = session.songTitle
    .replaceAll(UNFIT, ' ')
    .replaceAll(/\s+/g, ' ')
    .replace(/^[. ]+|[. ]+$/g, '')
  return `${root.replace(/[\\/]+$/, '')}${separator}${song === '' ? 'Song' : song} ${session.date}`
}
