// Compiles app/dsp/wasm/assembly/ to WebAssembly and writes it as app/dsp/wasm/kernel-bytes.ts;
// with --check only says whether that file is what the sources give.

import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import asc from 'assemblyscript/asc'
import { beginsLike, replaceOwnFile } from '../files/write-file.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))
const path = fileURLToPath(new URL('../dsp/wasm/kernel-bytes.ts', import.meta.url))
/** 8 MiB: room for the drive at 16 times the rate with a leader of 32 channels. */
const PAGES = 128

async function compile(): Promise<Uint8Array> {
  let bytes: Uint8Array | null = null
  const { error, stderr } = await asc.main(
    [
      'app/dsp/wasm/assembly/index.ts',
      ...['--outFile', 'kernels.wasm', '--baseDir', root],
      ...[
        '--runtime',
        'stub',
        '--noAssert',
        '--debug',
        '--optimizeLevel',
        '3',
        '--converge',
        '--enable',
        'simd',
      ],
      ...['--initialMemory', `${PAGES}`, '--maximumMemory', `${PAGES}`],
      // Vectors go from kernel to kernel only, never out of the module.
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

const text = `// WebAssembly made of assembly/ by "npm run wasm", as base64. Not written by hand.

export const KERNEL_BYTES =
  '${Buffer.from(await compile()).toString('base64')}'
`

if (!process.argv.includes('--check')) {
  replaceOwnFile(path, text, beginsLike(text))
} else if (readFileSync(path, 'utf8') !== text) {
  process.stderr.write(
    'app/dsp/wasm/kernel-bytes.ts is not what the sources give; run "npm run wasm" and commit it.\n',
  )
  process.exitCode = 1
}
