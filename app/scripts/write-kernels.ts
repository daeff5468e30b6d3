// Compiles app/dsp/wasm/assembly/ to WebAssembly and writes it as app/dsp/wasm/kernel-bytes.ts, with
// its functions as a TypeScript interface in app/dsp/wasm/kernel-interface.ts. With --check it only
// reports whether both files are up to date with the sources.

import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import asc from 'assemblyscript/asc'
import { beginsLike, replaceOwnFile } from '../files/write-file.ts'
import { kernelInterface } from './describe-kernels.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))
const ENTRY = 'app/dsp/wasm/assembly/index.ts'
/** 8 MiB: room for the drive at 16 times the rate with a leader of 32 channels. */
const PAGES = 128

async function compile(): Promise<Uint8Array> {
  let bytes: Uint8Array | null = null
  const { error, stderr } = await asc.main(
    [
      ENTRY,
      ...['--outFile', 'kernels.wasm', '--baseDir', root],
      ...['--runtime', 'stub', '--noAssert', '--debug'],
      ...['--optimizeLevel', '3', '--converge', '--enable', 'simd'],
      ...['--initialMemory', `${PAGES}`, '--maximumMemory', `${PAGES}`],
      // SIMD vectors are passed between kernels only and never leave the module.
      ...['--disableWarning', '112'],
    ],
    {
      writeFile(_name, contents) {
        if (typeof contents !== 'string') bytes = contents
      },
    },
  )
  if (error !== null || bytes === null) throw new Error(`The kernels do not compile:\n${stderr}`)
  return bytes
}

const bytes = await compile()
const generated: readonly (readonly [path: string, text: string])[] = [
  [
    'app/dsp/wasm/kernel-bytes.ts',
    `// WebAssembly made of assembly/ by "npm run wasm", as base64. Not written by hand.

export const KERNEL_BYTES =
  '${Buffer.from(bytes).toString('base64')}'
`,
  ],
  ['app/dsp/wasm/kernel-interface.ts', kernelInterface(root, ENTRY, bytes)],
]

for (const [path, text] of generated) {
  if (!process.argv.includes('--check')) replaceOwnFile(`${root}${path}`, text, beginsLike(text))
  else if (readFileSync(`${root}${path}`, 'utf8') !== text) {
    process.stderr.write(`${path} is not what the sources give; run "npm run wasm" and commit it.\n`)
    process.exitCode = 1
  }
}
