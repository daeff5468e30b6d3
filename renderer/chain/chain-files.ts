// Chain files in and out of the window.

import {
  CHAIN_FORMAT,
  CHAIN_FORMAT_VERSION,
  type ChainDocument,
  type ChainStages,
  parseChainDocument,
} from '../../app/contract/chain-document.ts'
import { Failure } from '../../app/contract/failure.ts'

/** @throws Failure with a sentence that names the file and what is wrong with it */
export async function readChainFile(file: File): Promise<ChainDocument> {
  const text = await file.text()
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    throw new Failure(
      'invalid-input',
      `${file.name} is not a Takeloft chain: it is not JSON. Choose a chain file that Takeloft saved.`,
      { where: file.name },
    )
  }
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
