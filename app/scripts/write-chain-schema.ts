// Writes resources/chain.schema.json from the program's schemas; with --check only reports whether it is
// up to date.

import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { chainJsonSchema } from '../contract/chain-schema.ts'
import { beginsLike, replaceOwnFile } from '../files/write-file.ts'

const path = fileURLToPath(new URL('../../resources/chain.schema.json', import.meta.url))
const text = `${JSON.stringify(chainJsonSchema(), null, 2)}\n`

if (!process.argv.includes('--check')) {
  replaceOwnFile(path, text, beginsLike(text))
} else if (readFileSync(path, 'utf8') !== text) {
  process.stderr.write(
    'resources/chain.schema.json is not what the schemas give; run "npm run schema" and commit it.\n',
  )
  process.exitCode = 1
}
