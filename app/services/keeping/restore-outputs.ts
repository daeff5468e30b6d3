// Brings the bounces and deliveries of a bag back to where the catalogue expects them. Nothing is overwritten.

import { existsSync } from 'node:fs'
import { dirname, isAbsolute, join, relative } from 'node:path'
import type { Catalogue } from '../../../db/catalogue.ts'
import type { ListedFile } from '../../bag/bag-texts.ts'
import { Failure } from '../../contract/failure.ts'
import { namingAskedFor } from '../../files/asked-for.ts'
import { copyFileInside } from '../../files/copy-file.ts'
import { ensureFolder } from '../../files/ensure-folder.ts'
import { createNewFolder, isFree } from '../../files/new-folder.ts'
import { MANIFEST_FILE } from '../bounces/delivery-folder.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import { PAYLOAD_BOUNCES, PAYLOAD_DELIVERIES } from './bag-layout.ts'
import { outputsOf } from './outputs.ts'

/** The payload of each output in a bag, by the SHA-256 of its manifest. */
export function outputsInBag(payload: readonly ListedFile[]): ReadonlyMap<string, readonly ListedFile[]> {
  const outputs = new Map<string, readonly ListedFile[]>()
  for (const { path, sha256 } of payload) {
    const inside = [PAYLOAD_BOUNCES, PAYLOAD_DELIVERIES].some((folder) => path.startsWith(`${folder}/`))
    if (!inside || path.split('/').length !== 4 || !path.endsWith(`/${MANIFEST_FILE}`)) continue
    const folder = dirname(path)
    outputs.set(
      sha256,
      payload.filter((file) => file.path.startsWith(`${folder}/`)),
    )
  }
  return outputs
}

/** Copies each output of the session that is not where the catalogue has it; the rest of the bag stays untouched. */
export async function restoreOutputs(
  catalogue: Catalogue,
  sessionId: number,
  { bag, payload }: { readonly bag: string; readonly payload: readonly ListedFile[] },
  signal: AbortSignal,
): Promise<{ readonly copied: number; readonly remarks: readonly string[] }> {
  const root = catalogueRoot(catalogue.path)
  const inBag = outputsInBag(payload)
  const remarks: string[] = []
  let copied = 0
  for (const { manifestSha256, folder, words } of outputsOf(catalogue, sessionId)) {
    const files = inBag.get(manifestSha256)
    if (files === undefined || existsSync(join(folder, MANIFEST_FILE))) continue
    const from = join(bag, dirname(files.find(({ path }) => path.endsWith(`/${MANIFEST_FILE}`))!.path))
    const place = relative(root, folder)
    if (place.startsWith('..') || isAbsolute(place) || !isFree(folder)) {
      remarks.push(`${words} was at ${folder}, where nothing is restored; it is whole in ${from}.`)
      continue
    }
    await copyOutput(bag, from, files, folder, signal)
    copied++
  }
  return { copied, remarks }
}

async function copyOutput(
  bag: string,
  from: string,
  files: readonly ListedFile[],
  target: string,
  signal: AbortSignal,
): Promise<void> {
  ensureFolder(dirname(target))
  const unfinished = createNewFolder(dirname(target))
  try {
    const inner = files.map(({ path, sha256 }) => ({ sha256, at: relative(from, join(bag, path)) }))
    for (const folder of foldersOf(inner.map(({ at }) => at))) unfinished.makeFolder(folder)
    for (const { at, sha256 } of inner) {
      const copy = await copyFileInside(
        join(from, at),
        join(unfinished.path, at),
        'a file of an archive',
        signal,
        () => {},
      )
      if (copy === sha256) continue
      throw new Failure('changed', `${join(from, at)} changed while it was copied; restore again.`, {
        path: join(from, at),
      })
    }
    unfinished.commit(target)
  } catch (error) {
    throw namingAskedFor(error, target)
  } finally {
    unfinished.discard()
  }
}

/** The folders above these files, outer ones first. */
function foldersOf(paths: readonly string[]): string[] {
  const folders = new Set<string>()
  for (const path of paths) {
    const parts = path.split(/[/\\]/).slice(0, -1)
    for (let n = 1; n <= parts.length; n++) folders.add(parts.slice(0, n).join('/'))
  }
  return [...folders].sort()
}
