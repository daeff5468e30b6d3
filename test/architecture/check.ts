// `npm run check:architecture`: says of every import, circle, folder, file and export that is refused where it is
// and why.

import { judgeTree } from './judge-tree.ts'

const { files, imports, refusals, unused } = judgeTree()
for (const { file, line, what, why } of refusals) console.error(`${file}:${line}  ${what}\n    ${why}`)
for (const { from, to } of unused) {
  console.error(
    `test/architecture/import-table.ts  ${from} → ${to}\n    nothing needs this exception; take it out`,
  )
}
if (refusals.length + unused.length > 0) process.exitCode = 1
else console.log(`${imports} imports in ${files} files keep to the table; no circles, nothing unused.`)
