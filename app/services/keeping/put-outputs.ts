// Puts the bounces and deliveries of a session into its bag, each whole or not at all.

import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { isPortablePath } from '../../bag/bag-paths.ts'
import { ensureFolder } from '../../files/ensure-folder.ts'
import { removeInside } from '../../files/new-folder.ts'
import { filesOfOutput, type Output, outputInBag, outputsOf } from './outputs.ts'
import { type Filling, list, putCopy, putLink } from './put-files.ts'

/** @returns how many are in the bag; of the others a remark says why not */
export async function putOutputs(filling: Filling): Promise<number> {
  const { workplace, contents, remarks } = filling
  let count = 0
  for (const output of outputsOf(workplace.catalogue, contents.session.id)) {
    const why = await putOutput(filling, output)
    if (why === null) count++
    else remarks.push(`${output.words} (${output.folder}) is not in the archive: ${why}.`)
  }
  return count
}

/** @returns why it is not in the bag; null where it is */
async function putOutput(filling: Filling, output: Output): Promise<string | null> {
  const { root, files } = filling
  const wanted = filesOfOutput(output)
  if (wanted === null) return 'its manifest is not there any more, or is another one'
  const lost = wanted.find(({ path }) => !existsSync(join(output.folder, path)))
  if (lost !== undefined) return `${lost.path} is missing`
  const target = outputInBag(output)
  if (!wanted.every(({ path }) => isPortablePath(`${target}/${path}`))) {
    return 'a file has a name that not every disk takes'
  }
  const before = files.length
  for (const { path, sha256 } of wanted) {
    const inBag = `${target}/${path}`
    ensureFolder(join(root, dirname(inBag)))
    if (await putLink(filling, inBag, sha256)) continue
    if ((await putCopy(filling, join(output.folder, path), inBag)) === sha256) {
      list(filling, inBag, sha256, false)
      continue
    }
    removeInside(join(root, inBag))
    for (const { path: put } of files.splice(before)) removeInside(join(root, put))
    return `${path} was changed since`
  }
  return null
}
