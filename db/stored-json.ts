// JSON columns are read back through the contract's schema, so that nothing reaches
// the program in a form that it does not know.

import { sentenceOf } from '../app/contract/chain-document.ts'
import { Failure } from '../app/contract/failure.ts'

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
  const parsed = schema.safeParse(JSON.parse(json))
  if (parsed.success) return parsed.data
  throw new Failure(
    'catalogue-damaged',
    `The catalogue cannot give ${what}: ${sentenceOf(parsed.error)}. Put back an earlier copy of the catalogue.`,
    { what },
  )
}
