// Chain files in and out of the window.

import {
  CHAIN_FORMAT,
  CHAIN_FORMAT_VERSION,
  type ChainDocument,
  type ChainStages,
  parseChainDocument,
} from '../../app/contract/chain-document.ts'
import { decodeText } from '../../app/contract/decode-text.ts'
import { Failure } from '../../app/contract/failure.ts'
import { MAX_JSON_BYTES } from '../../app/contract/limits.ts'
import { readJsonText } from '../../app/contract/read-json.ts'

/** @throws Failure with a sentence that names the file and what is wrong with it */
export async function readChainFile(file: File): Promise<ChainDocument> {
  if (file.size > MAX_JSON_BYTES) {
    throw new Failure(
      'invalid-input',
      `${file.name} has ${(file.size / 1e6).toFixed(1)} MB, and a chain has at most ${MAX_JSON_BYTES / 1e6} MB; choose a smaller one.`,
      { where: file.name },
    )
  }
  const text = decodeText(new Uint8Array(await file.arrayBuffer()))
  const value = readJsonText(text, file.name, 'chain', 'a chain file that Takeloft saved')
  return parseChainDocument(value, file.name)
}

/** Hands a chain file to the browser to be kept. */
export function keepChainFile(name: string, stages: ChainStages): void {
  const document_: ChainDocument = { format: CHAIN_FORMAT, version: CHAIN_FORMAT_VERSION, name, stages }
  const url = URL.createObjectURL(
    new Blob([`${JSON.stringify(document_, null, 2)}\n`], { type: 'application/json' }),
  )
  const link = document.createElement('a')
  link.href = url
  // What no file system likes in a name is left out.
  link.download = `${name.replaceAll(/[\\/:*?"<>|]/g, ' ').trim()}.chain.json`
  link.click()
  URL.revokeObjectURL(url)
}
