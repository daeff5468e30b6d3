// The desktop program as it is built and packed: its entry finds its threads, its page, its preload
// script and its version from where it lies. Node runs it with Electron faked; Electron itself is not run.

import { execFile } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../signals/wave-bytes.ts'
import { PINNED_NODE } from './run-takeloft.ts'

const run = promisify(execFile)
const ROOT = fileURLToPath(new URL('../..', import.meta.url))
/** Inside the project, so that the libraries beside it are found as they are when packed. */
const built = join(ROOT, 'test-results', 'built-program')
const packageFile = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
  version: string
  main: string
  dependencies: Record<string, string>
}

beforeAll(async () => {
  rmSync(built, { recursive: true, force: true })
  mkdirSync(built, { recursive: true })
  copyFileSync(join(ROOT, 'package.json'), join(built, 'package.json'))
  const program = join(ROOT, 'node_modules/electron-vite/bin/electron-vite.js')
  await run(PINNED_NODE, [program, 'build', '--outDir', join(built, 'out')], { cwd: ROOT })
}, 180_000)

describe('the built program', () => {
  it('lies where package.json says, all of its main process in one folder', () => {
    const main = readdirSync(join(built, 'out/main'), { withFileTypes: true })
    expect(join('out/main', 'main.js')).toBe(packageFile.main)
    expect(main.every((file) => file.isFile())).toBe(true)
    expect(main.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['main.js', 'render-worker.js', 'playback-worker.js', 'chain-helper.js']),
    )
  })

  it('imports its libraries instead of holding copies of them', () => {
    const files = readdirSync(join(built, 'out/main')).map((name) =>
      readFileSync(join(built, 'out/main', name), 'utf8'),
    )
    const imported = new Set(
      files.flatMap((text) =>
        [...text.matchAll(/^import .*?["']([^."'][^"']*)["'];?$/gm)].map(([, name]) => name),
      ),
    )
    const libraries = [...imported].filter((name) => !name.startsWith('node:') && name !== 'electron')
    expect(libraries.sort()).toEqual([
      '@wasm-audio-decoders/flac',
      'better-sqlite3',
      'canonicalize',
      'env-paths',
      'piscina',
      'zod',
    ])
    expect(libraries.filter((name) => !Object.hasOwn(packageFile.dependencies, name))).toEqual([])
  })

  it('has a preload script that a sandbox can run: CommonJS, and nothing but Electron in it', () => {
    const text = readFileSync(join(built, 'out/preload/preload.cjs'), 'utf8')
    expect([...text.matchAll(/require\(["'](.*?)["']\)/g)].map(([, name]) => name)).toEqual(['electron'])
    expect(text).not.toMatch(/^(import|export) /m)
  })

  describe('run by Node with Electron faked', () => {
    const folder = mkdtempSync(join(tmpdir(), 'takeloft-built-'))
    afterAll(() => rmSync(folder, { recursive: true, force: true }))

    it('serves its page, takes in a recording, plays it, and ends with 0', async () => {
      const recording = join(folder, 'lead.wav')
      const bytes = waveBytes([fmtChunk(), chunkBytes('data', words16(randomWords(16, 48_000, 3)))])
      writeFileSync(recording, bytes)
      const script = fileURLToPath(new URL('run-built-program.ts', import.meta.url))
      const { stdout } = await run(PINNED_NODE, [script, built, join(folder, 'catalogue.sqlite'), recording])
      const seen = JSON.parse(stdout) as { assets: number[] }
      expect(seen).toMatchObject({
        preload: join(built, 'out/preload/preload.cjs'),
        programVersion: packageFile.version,
        take: { frames: 48_000, sha256: createHash('sha256').update(bytes).digest('hex') },
        spanBytes: 4800 * 4 * 4,
        peaksStatus: 200,
        status: 0,
      })
      expect(seen.assets.length).toBeGreaterThanOrEqual(2)
      expect(seen.assets.every((status) => status === 200)).toBe(true)
    })
  })
})
