// Reads an exchanged history: a zip file whose every entry is listed in its history.json with hash and size.

import { createHash } from 'node:crypto'
import type { CurveContent, History } from '../../contract/exchange/history.ts'
import { MAX_HISTORY_VALUES } from '../../contract/exchange/limits.ts'
import { parseCurveContent, parseHistory } from '../../contract/exchange/parse-history.ts'
import { Failure } from '../../contract/failure.ts'
import { readPictureHeader } from '../../contract/picture.ts'
import { readJsonText } from '../../contract/text/read-json.ts'
import { canonicalJson } from '../../history/canonical-json.ts'
import { readZip } from './read-zip.ts'

/** What the file of a history says that it is; its first entry. */
export const HISTORY_TYPE = 'application/vnd.takeloft.history+zip'
export const HISTORY_ENTRY = 'history.json'
export const curveEntry = (sha256: string): string => `curves/${sha256}.json`

/** A history with the contents that it names by their hashes. */
export interface HistoryEntries {
  readonly history: History
  /** SHA-256 of `history.json`. */
  readonly sha256: string
  readonly curves: ReadonlyMap<string, CurveContent>
  /** With the type of each: png, jpeg or webp. */
  readonly pictures: ReadonlyMap<string, { readonly bytes: Buffer; readonly type: string }>
}

const WANTED = 'a history that Takeloft exported'

/**
 * Reads a history; only memory is used.
 * @param where what to call the file in a failure
 * @throws Failure `newer-version`; `invalid-input` for any file that is not whole and exactly as it was exported
 */
export async function readHistory(bytes: Buffer, where: string): Promise<HistoryEntries> {
  const entries = await readZip(bytes, where)
  const [first] = entries.keys()
  const text = entries.get(HISTORY_ENTRY)
  if (
    first !== 'mimetype' ||
    entries.get('mimetype')?.toString('latin1') !== HISTORY_TYPE ||
    text === undefined
  ) {
    throw refusal(where, 'it does not say that it is one')
  }
  const limits = { values: MAX_HISTORY_VALUES, containers: MAX_HISTORY_VALUES / 2 }
  const parse = (json: Buffer, path: string): unknown => {
    const value = readJsonText(decode(json, where), `${where}, ${path},`, 'history', WANTED, limits)
    refuseUnhashable(value, where)
    return value
  }
  const history = parseHistory(parse(text, HISTORY_ENTRY), where)
  refuseOtherFiles(history, entries, where)
  const curves = new Map<string, CurveContent>()
  const pictures = new Map<string, { bytes: Buffer; type: string }>()
  for (const [path, content] of entries) {
    const [folder, name] = path.split('/')
    if (name === undefined) continue
    const [sha256, type] = name.split('.')
    if (createHash('sha256').update(content).digest('hex') !== sha256) {
      throw refusal(where, `${path} is not what its name says`)
    }
    if (folder === 'curves') curves.set(sha256, parseCurveContent(parse(content, path), `${where}, ${path},`))
    else {
      if (readPictureHeader(content, path).type !== type) throw refusal(where, `${path} is of another type`)
      pictures.set(sha256, { bytes: content, type })
    }
  }
  const lacking = history.curves.find(({ sha256 }) => !curves.has(sha256))
  if (lacking !== undefined) throw refusal(where, `the curve ${lacking.sha256} is not in it`)
  return { history, sha256: createHash('sha256').update(text).digest('hex'), curves, pictures }
}

/** Every entry is listed once, with its hash and size, and nothing else is there. */
function refuseOtherFiles(history: History, entries: ReadonlyMap<string, Buffer>, where: string): void {
  const listed = new Map(history.files.map((file) => [file.path, file]))
  if (listed.size < history.files.length) throw refusal(where, 'it lists an entry twice')
  for (const [path, bytes] of entries) {
    if (path === 'mimetype' || path === HISTORY_ENTRY) continue
    const file = listed.get(path)
    const sha256 = createHash('sha256').update(bytes).digest('hex')
    if (file?.sizeBytes !== bytes.length || file.sha256 !== sha256) {
      throw refusal(where, `${path} is not as it is listed`)
    }
    listed.delete(path)
  }
  const [lost] = listed.keys()
  if (lost !== undefined) throw refusal(where, `${lost} is listed and not in it`)
}

function decode(bytes: Buffer, where: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch (error) {
    throw refusal(where, 'its text is no UTF-8', error)
  }
}

/**
 * JSON can have half of a surrogate pair, escaped, which has no UTF-8, and numbers like 1e999, which are read as
 * infinite; neither has a hash.
 */
function refuseUnhashable(value: unknown, where: string): void {
  try {
    canonicalJson(value)
  } catch (error) {
    const why = hasInfinity(value)
      ? 'a number in it is too large; the largest is about 1.8e308'
      : 'a text in it contains half of a surrogate pair'
    throw refusal(where, why, error)
  }
}

function hasInfinity(value: unknown): boolean {
  if (typeof value === 'number') return !Number.isFinite(value)
  return typeof value === 'object' && value !== null && Object.values(value).some(hasInfinity)
}

const refusal = (where: string, why: string, cause?: unknown): Failure =>
  new Failure(
    'invalid-input',
    `${where} is not a whole history: ${why}. Choose ${WANTED}; nothing was taken from it.`,
    { where },
    cause,
  )
