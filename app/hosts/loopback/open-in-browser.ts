// Opens an address in the user's browser without passing it on a command line: every user of the machine can
// read a process's arguments, and the address contains the token. The browser instead opens a file that only
// this user can read, and the file redirects to the address. If that fails (a sandboxed browser that cannot
// read the file, a system that opens such files with an editor), the printed address is still valid.

import { execFile } from 'node:child_process'
import { stat } from 'node:fs/promises'
import { homedir, tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import open from 'open'
import { PRIVATE_FOLDER_MODE } from '../../files/ensure-folder.ts'
import { createPrivateFile } from '../../files/new-file.ts'
import { createNewFolder } from '../../files/new-folder.ts'
import { writeNewFile } from '../../files/write-file.ts'
import { forwardPage } from './forward-page.ts'

/** How long the file is kept, ms: enough for a browser to start. By then the token in it is used up. */
const KEPT_MS = 120_000

/** @throws when no browser can be started */
export async function openInBrowser(address: string): Promise<void> {
  const folder = createNewFolder(await folderForBrowser(), PRIVATE_FOLDER_MODE, 'own')
  process.once('exit', folder.discard)
  setTimeout(() => {
    process.off('exit', folder.discard)
    folder.discard()
  }, KEPT_MS).unref()
  const file = join(folder.path, 'open-takeloft.html')
  writeNewFile(file, forwardPage(address), createPrivateFile)
  await open(file)
}

/**
 * A folder that the browser can read. A browser installed as a snap can read neither the temporary folder nor
 * hidden files in the home folder, but it has its own folder there (snapcraft.io, "Data locations":
 * SNAP_USER_COMMON).
 */
async function folderForBrowser(): Promise<string> {
  const snap = /^([a-z0-9-]+)_[\w-]+\.desktop$/.exec(await defaultBrowser())
  if (snap !== null) {
    const common = join(homedir(), 'snap', snap[1], 'common')
    if ((await stat(common).catch(() => null))?.isDirectory()) return common
  }
  return tmpdir()
}

/** Name of the default browser's desktop entry; empty if the system has none. */
async function defaultBrowser(): Promise<string> {
  if (process.platform !== 'linux') return ''
  const asked = promisify(execFile)('xdg-settings', ['get', 'default-web-browser'], { timeout: 2_000 })
  return asked.then(
    ({ stdout }) => stdout.trim(),
    () => '',
  )
}
