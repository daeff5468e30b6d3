// The JSON Schema of a chain file, made from the schemas that check it.

import { z } from 'zod'
import { ChainDocument } from './chain-document.ts'

/** JSON Schema, draft 2020-12. It does not cover the order of stages, which only the program checks. */
export const chainJsonSchema = (): object => ({
  ...z.toJSONSchema(ChainDocument, { target: 'draft-2020-12' }),
  $id: 'takeloft-chain-1',
})
