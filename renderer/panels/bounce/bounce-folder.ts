// The folder a bounce is offered: one for each song and day under the folder for bounces.

/** What no file system takes in a name. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
const UNFIT = /[<>:"/\\|?*\u0000-\u001f]+/g

/** @param root absolute path of the folder for bounces, as the services write paths */
export function offerBounceFolder(root: string, session: { songTitle: string; date: string }): string {
  const separator = root.includes('\\') && !root.includes('/') ? '\\' : '/'
  const song = session.songTitle
    .replaceAll(UNFIT, ' ')
    .replaceAll(/\s+/g, ' ')
    .replace(/^[. ]+|[. ]+$/g, '')
  return `${root.replace(/[\\/]+$/, '')}${separator}${song === '' ? 'Song' : song} ${session.date}`
}
