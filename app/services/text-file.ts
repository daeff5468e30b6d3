// Reads a small file that a call names, after checking that it is an ordinary file and not too large.

import { resolve } from 'node:path'
import { Failure } from '../contract/failure.ts'
import { decodeText } from '../contract/text/decode-text.ts'
import { readJsonText } from '../contract/text/read-json.ts'
import { openOrdinaryFile } from '../files/open-ordinary-file.ts'

/** The kind of file expected: a word for it, what to choose instead, and how large it may be. */
export interface SmallFileKind {
  /** 'chain' */
  readonly name: string
  /** 'a chain file that Takeloft saved' */
  readonly wanted: string
  readonly mostBytes: number
}

/**
 * The text of a file in any encoding that decodeText supports.
 * @throws Failure 'not-found', 'not-readable', 'empty', or 'invalid-input' for one that is too large
 */
export function readText(path: string, { name, wanted, mostBytes }: SmallFileKind): string {
  const from = resolve(path)
  const file = openOrdinaryFile(from, wanted)
  const { sizeBytes } = file
  try {
    if (sizeBytes === 0) {
      throw new Failure('empty', `${from} is empty (0 bytes); choose ${wanted}.`, { path: from })
    }
    if (sizeBytes > mostBytes) {
      throw new Failure(
        'invalid-input',
        `${from} has ${inMegabytes(sizeBytes)} MB, and a ${name} has at most ${inMegabytes(mostBytes)} MB; choose a smaller one.`,
        { path: from, sizeBytes, mostBytes },
      )
    }
    const bytes = Buffer.alloc(sizeBytes)
    return decodeText(bytes.subarray(0, file.readInto(bytes, sizeBytes, 0)))
  } finally {
    file.close()
  }
}

/** The JSON value in a file. @throws Failure as readText and readJsonText */
export const readJson = (path: string, kind: SmallFileKind): unknown =>
  readJsonText(readText(path, kind), path, kind.name, kind.wanted)

const inMegabytes = (bytes: number): number => Number((bytes / 1e6).toFixed(1))
