// Saves text as a file and reports the result in a notice.

import type { FileToSave } from '../../app/contract/file-to-save.ts'
import { bridge } from './connection.ts'
import { attempt, remark } from './notices.ts'

/**
 * @param name name of what is saved, for the notice
 * @param make builds the file; a failure here is shown as a notice too
 */
export async function saveFile(name: string, make: () => FileToSave | Promise<FileToSave>): Promise<void> {
  await attempt(`${name} was not saved`, async () => {
    const savedAs = await bridge.saveFile(await make())
    if (savedAs !== null) remark(`Saved as ${savedAs}`)
  })
}
