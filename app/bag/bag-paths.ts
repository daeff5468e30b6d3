// Names of files in a bag: which may be written, and which are refused before anything is opened.

/** A name that every disk, sha256sum and other readers of bags take as it is. */
const PORTABLE_PART = /^[A-Za-z0-9](?:[A-Za-z0-9_.-]*[A-Za-z0-9_-])?$/
const RESERVED_PART = /^(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\.|$)/i
const MAX_PATH_CHARACTERS = 180

/**
 * Whether a path may be written into a bag: ASCII letters, digits and _ . - in each part, so that neither
 * percent-encoding (RFC 8493, 2.1.3) nor case folding nor Unicode normalisation can change what it means.
 */
export const isPortablePath = (path: string): boolean =>
  path.length <= MAX_PATH_CHARACTERS &&
  path.split('/').every((part) => PORTABLE_PART.test(part) && !RESERVED_PART.test(part))

/**
 * Whether a path of a received bag could lead out of it or be read in two ways (RFC 8493, 5.1 and 5.2): absolute, `..`,
 * `~`, drive letters, backslashes, control characters, percent signs.
 */
export function isUnsafePath(path: string): boolean {
  if (path === '' || path.startsWith('~') || /^[A-Za-z]:/.test(path)) return true
  if (/[\\%\p{Cc}]/u.test(path)) return true
  return path.split('/').some((part) => part === '' || part === '.' || part === '..')
}

/** Paths that some disk takes for one another: they differ in case or Unicode normalisation alone. */
export function collidingPaths(paths: Iterable<string>): string[] {
  const seen = new Map<string, string>()
  const colliding: string[] = []
  for (const path of paths) {
    const folded = path.normalize('NFKD').toUpperCase().toLowerCase()
    const other = seen.get(folded)
    if (other === undefined) seen.set(folded, path)
    else if (other !== path) colliding.push(path)
  }
  return colliding
}
