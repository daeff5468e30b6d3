// The folder of Node's compile cache. Whoever can write there can run code as this user at the next start,
// so it is the user's own private folder or none at all: running without a cache only makes starts slower.

import { lstatSync, mkdirSync, realpathSync } from 'node:fs'
import { enableCompileCache } from 'node:module'
import { homedir } from 'node:os'
import { dirname, isAbsolute, join } from 'node:path'

const WRITABLE_BY_OTHERS = 0o022
/** In a folder with this bit, users cannot rename or remove what belongs to other users. */
const STICKY = 0o1000

/**
 * Caches what this process and its worker threads compile. The folder is set in the environment, so that
 * threads use it too; one that is already set there is the user's choice.
 */
export function cacheCompiledCode() {
  const cache = process.env.NODE_COMPILE_CACHE ?? privateCompileCache()
  if (!cache) return
  process.env.NODE_COMPILE_CACHE = cache
  enableCompileCache(cache)
}

/** The folder, made if need be; undefined where it would not be private. */
function privateCompileCache() {
  try {
    // The system's own links (a linked home, /var on a Mac) are resolved here, once, so that the checks below
    // see none.
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

/** The user's cache folder on each system. */
function cacheHome() {
  if (process.platform === 'win32') return process.env.LOCALAPPDATA ?? join(homedir(), 'AppData', 'Local')
  if (process.platform === 'darwin') return join(homedir(), 'Library', 'Caches')
  // A relative path is ignored (XDG Base Directory Specification, "must be absolute").
  const said = process.env.XDG_CACHE_HOME ?? ''
  return isAbsolute(said) ? said : join(homedir(), '.cache')
}

function realOf(path) {
  mkdirSync(path, { recursive: true, mode: 0o700 })
  return realpathSync(path)
}

// undefined on Windows, which uses access control lists instead of modes and restricts a user's own folders
// to that user.
const userId = process.getuid?.()

/** Whether only the user and the system can replace a folder inside this one. */
function isSafeAbove(path) {
  const { uid, mode } = lstatSync(path)
  if (userId === undefined) return true
  return (uid === userId || uid === 0) && ((mode & WRITABLE_BY_OTHERS) === 0 || (mode & STICKY) !== 0)
}

/** Whether the path, created if need be, is a folder of the user, not a link, that only they can write to. */
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
