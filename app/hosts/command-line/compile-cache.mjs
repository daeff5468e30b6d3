// Where Node keeps what it has compiled. Whoever can write there runs code as this user at the next
// start, so it is the user's own private folder or none at all: no cache costs a moment, and nothing else.

import { lstatSync, mkdirSync, realpathSync } from 'node:fs'
import { homedir } from 'node:os'
import { dirname, isAbsolute, join } from 'node:path'

const WRITABLE_BY_OTHERS = 0o022
/** In such a folder nobody can rename or remove what belongs to somebody else. */
const STICKY = 0o1000

/** The folder, made if need be; undefined where it would not be private. */
export function privateCompileCache() {
  try {
    // The system's own links on the way (a linked home, /var on a Mac) are followed here, once. From here on
    // there are none.
    const base = realOf(cacheHome())
    const own = join(base, 'Takeloft')
    const folder = join(own, 'compiled')
    for (let above = base; ; above = dirname(above)) {
      if (!isSafeAbove(above)) return undefined
      if (above === dirname(above)) break
    }
    return isPrivate(own) && isPrivate(folder) ? folder : undefined
  } catch {
    return undefined
  }
}

/** The user's folder for what can be made again, as each system has it. */
function cacheHome() {
  if (process.platform === 'win32') return process.env.LOCALAPPDATA ?? join(homedir(), 'AppData', 'Local')
  if (process.platform === 'darwin') return join(homedir(), 'Library', 'Caches')
  // A relative one does not count (XDG Base Directory Specification, "must be absolute").
  const said = process.env.XDG_CACHE_HOME ?? ''
  return isAbsolute(said) ? said : join(homedir(), '.cache')
}

function realOf(path) {
  mkdirSync(path, { recursive: true, mode: 0o700 })
  return realpathSync(path)
}

// Windows keeps who may write in lists instead of modes, and a user's own folders to the user.
const userId = process.getuid?.()

/** Nobody but the user and the system may put another folder in the place of one in here. */
function isSafeAbove(path) {
  const { uid, mode } = lstatSync(path)
  if (userId === undefined) return true
  return (uid === userId || uid === 0) && ((mode & WRITABLE_BY_OTHERS) === 0 || (mode & STICKY) !== 0)
}

/** A folder of the user's in which nobody else can write; not a link to one. */
function isPrivate(path) {
  try {
    mkdirSync(path, { mode: 0o700 })
  } catch (error) {
    if (error.code !== 'EEXIST') throw error
  }
  const found = lstatSync(path)
  if (!found.isDirectory()) return false
  return userId === undefined || (found.uid === userId && (found.mode & WRITABLE_BY_OTHERS) === 0)
}
