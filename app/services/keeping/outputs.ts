// What went out of a session: its bounces and deliveries, each a folder with a manifest that names every file by its
// hash. Their folders go into its archive and come back from it.

import { existsSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import type { Catalogue } from '../../../db/catalogue.ts'
import type { ListedFile } from '../../bag/bag-texts.ts'
import { parseDeliveryManifest } from '../../contract/delivery/delivery-manifest.ts'
import { parseManifest } from '../../contract/manifest.ts'
import { fileWord } from '../../formats/names/file-words.ts'
import { MANIFEST_FILE } from '../bounces/delivery-folder.ts'
import { MANIFEST_FILE_KIND } from '../bounces/verify.ts'
import { hashList, hashOfText } from '../deliveries/documents-inside.ts'
import { DOCUMENT_PATHS } from '../deliveries/plan-delivery.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import { readJson } from '../text-file.ts'
import { HASH_DIGITS, PAYLOAD_BOUNCES, PAYLOAD_DELIVERIES } from './bag-layout.ts'

/** A bounce or a delivery as the catalogue knows it. */
export interface Output {
  readonly kind: 'bounce' | 'delivery'
  /** As in 'the bounce of 2026-10-01' and 'delivery 2'. */
  readonly words: string
  /** Absolute. */
  readonly folder: string
  readonly manifestSha256: string
}

/** Each manifest once, oldest first. */
export function outputsOf(catalogue: Catalogue, sessionId: number): Output[] {
  const root = catalogueRoot(catalogue.path)
  const outputs: Output[] = [
    ...catalogue.bounces
      .list({ sessionId })
      .reverse()
      .map(({ manifestPath, manifestSha256, createdAt }) => ({
        kind: 'bounce' as const,
        words: `the bounce of ${createdAt.slice(0, 16).replace('T', ' ')}`,
        folder: dirname(resolve(root, manifestPath)),
        manifestSha256,
      })),
    ...catalogue.deliveries
      .listOfSession(sessionId)
      .reverse()
      .map(({ folder, manifestSha256, number }) => ({
        kind: 'delivery' as const,
        words: `delivery ${number}`,
        folder: resolve(root, folder),
        manifestSha256,
      })),
  ]
  return outputs.filter(
    ({ manifestSha256 }, k) => outputs.findIndex((one) => one.manifestSha256 === manifestSha256) === k,
  )
}

/** Where an output is in a bag: its name begins with the first digits of the SHA-256 of its manifest. */
export const outputInBag = ({ kind, folder, manifestSha256 }: Output): string =>
  `${kind === 'bounce' ? PAYLOAD_BOUNCES : PAYLOAD_DELIVERIES}/${manifestSha256.slice(0, HASH_DIGITS)}_${fileWord(
    folder.split(/[/\\]/).at(-1) ?? '',
  ).slice(0, 40)}`

/**
 * Every file of an output with the hash that its manifest gives it, by the path in its folder.
 * @returns null where the manifest is not there any more, or is not the one that was noted
 */
export function filesOfOutput({ kind, folder, manifestSha256 }: Output): readonly ListedFile[] | null {
  const path = join(folder, MANIFEST_FILE)
  if (!existsSync(path)) return null
  try {
    const value = readJson(path, MANIFEST_FILE_KIND)
    const manifest = { path: MANIFEST_FILE, sha256: manifestSha256 }
    if (kind === 'bounce') {
      const { stems } = parseManifest(value, path)
      return [...stems.map(({ file, sha256 }) => ({ path: file, sha256 })), manifest]
    }
    const files = parseDeliveryManifest(value, path).files.map((file) => ({
      path: file.path,
      sha256: file.sha256,
    }))
    const list = { path: DOCUMENT_PATHS.hashes, sha256: hashOfText(hashList([...files, manifest])) }
    return [...files, manifest, list]
  } catch {
    return null
  }
}
