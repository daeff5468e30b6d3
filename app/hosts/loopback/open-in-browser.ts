// Opens an address in the user's browser without saying it on a command line. The words of a process can
// be read by every user of the machine, and the address holds the token. So the browser is given a file that
// only this user can read, and the file goes on to the address. Where that fails (a browser in a sandbox that
// cannot read the file, a system that opens such files with an editor), the address that was printed still holds.

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

/** Long enough for a browser that has to be started first, ms; the token in it is used up by then. */
const KEPT_MS = 120_000

/** @throws where no browser can be started */
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
 * Where the browser can read a file. One from a snap sees neither the temporary folder nor what begins with a dot
 * in the home folder, but it sees a folder of its own there (snapcraft.io, "Data locations": SNAP_USER_COMMON).
 */
async function folderForBrowser(): Promise<string> {
  const snap = /^([a-z0-9-]+)_[\w-]+\.desktop$/.exec(await defaultBrowser())
  if (snap !== null) {
    const common = join(homedir(), 'snap', snap[1], 'common')
    if ((await stat(common).catch(() => null))?.isDirectory()) return common
  }
  return tmpdir()
}

/** Name of its desktop entry; empty where the system knows none. */
async function defaultBrowser(): Promise<string> {
  if (process.platform !== 'linux') return ''
  const asked = promisify(execFile)('xdg-settings', ['get', 'default-web-browser'], { timeout: 2_000 })
  return asked.then(
    ({ stdout }) => stdout.trim(),
    () => '',
  )
}
