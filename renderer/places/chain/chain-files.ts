// Reads and writes chain files.

import {
  CHAIN_FORMAT,
  CHAIN_FORMAT_VERSION,
  type ChainDocument,
  type ChainStages,
  parseChainDocument,
} from '../../../app/contract/chain-document.ts'
import { Failure } from '../../../app/contract/failure.ts'
import type { FileToSave } from '../../../app/contract/file-to-save.ts'
import { decodeText } from '../../../app/contract/text/decode-text.ts'
import { MAX_JSON_BYTES } from '../../../app/contract/text/limits.ts'
import { readJsonText } from '../../../app/contract/text/read-json.ts'

/** @throws Failure with a sentence that names the file and what is wrong with it */
export async function readChainFile(file: File): Promise<ChainDocument> {
  if (file.size > MAX_JSON_BYTES) {
    throw new Failure(
      'invalid-input',
      `${file.name} is too large for a chain file (${(file.size / 1e6).toFixed(1)} MB, limit ${MAX_JSON_BYTES / 1e6} MB); choose another file.`,
      { where: file.name },
    )
  }
  const text = decodeText(new Uint8Array(await file.arrayBuffer()))
  const value = readJsonText(text, file.name, 'chain', 'a chain file that Takeloft saved')
  return parseChainDocument(value, file.name)
}

/**
 * @param name of the chain; in the file name, characters that file systems do not accept become spaces
 */
export function chainFileOf(name: string, stages: ChainStages): FileToSave {
  const chain: ChainDocument = { format: CHAIN_FORMAT, version: CHAIN_FORMAT_VERSION, name, stages }
  return {
    name: `${name.replaceAll(UNFIT, ' ').trim().slice(0, MAX_NAME_CHARACTERS)}.chain.json`,
    text: `${JSON.stringify(chain, null, 2)}\n`,
  }
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are removed on purpose
const UNFIT = /[\\/:*?"<>|\u0000-\u001f]/g
const MAX_NAME_CHARACTERS = 150
