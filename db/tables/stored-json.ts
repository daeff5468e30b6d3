// Validates JSON columns with the contract's schema when they are read, so that only valid values reach
// the program.

import { sentenceOf } from '../../app/contract/chain-document.ts'
import { Failure } from '../../app/contract/failure.ts'

interface Schema<T> {
  safeParse(
    value: unknown,
  ): { success: true; data: T } | { success: false; error: Parameters<typeof sentenceOf>[0] }
}

/**
 * The value of a JSON column.
 * @param what names the value in the sentence: 'the facts of take 12'
 * @throws Failure `catalogue-damaged`
 */
export function readStored<T>(schema: Schema<T>, json: string, what: string): T {
  const value = jsonValueOf(json)
  if (value === undefined) throw damaged(what, 'it is not JSON')
  const parsed = schema.safeParse(value)
  if (parsed.success) return parsed.data
  throw damaged(what, sentenceOf(parsed.error))
}

/** The parsed value; undefined, which no JSON text gives, if `json` is not JSON. */
function jsonValueOf(json: string): unknown {
  try {
    return JSON.parse(json)
  } catch {
    return undefined
  }
}

const damaged = (what: string, why: string): Failure =>
  new Failure(
    'catalogue-damaged',
    `The catalogue cannot give ${what}: ${why}. Put back an earlier copy of the catalogue.`,
    { what },
  )
