// The JSON Schema of a chain file, made from the schemas that check it.

import { z } from 'zod'
import { ChainDocument } from './chain-document.ts'

/** JSON Schema, draft 2020-12, of a file as it is read: fields with a default may be missing. It does not cover the order of stages, which only the program checks. */
export const chainJsonSchema = (): object => ({
  ...z.toJSONSchema(ChainDocument, { target: 'draft-2020-12', io: 'input' }),
  $id: 'takeloft-chain-1',
})
