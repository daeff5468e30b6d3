// The desktop program as electron-builder packs it, by the settings of package.json: what is in the archive, what
// is beside it, and that it runs from there. In place of Electron's runtime, which is not fetched for this, stands a
// file with the place in it where the fuses are burnt. The archive is unpacked to be run: Node reads none. So what is
// not seen here is Electron itself reading the archive, threads from it too, and refusing one that was changed.

import { execFile } from 'node:child_process'
import { createHash } from 'node:crypto'
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { extractAll, getRawHeader, listPackage } from '@electron/asar'
import { FuseV1Options, getCurrentFuseWire } from '@electron/fuses'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../../signals/wave-bytes.ts'
import { PINNED_NODE } from '../run-takeloft.ts'
import { copyProject, type ProjectCopy } from './project-copy.ts'

const run = promisify(execFile)
/** Where @electron/fuses looks for the fuses in a program, and how it reads them (README, "fuse wire"). */
const SENTINEL = 'dL7pKGdnNz796PbbjQWNKmHXBZaB9tsX'

let copy: ProjectCopy
let resources: string
let program: string

/** A program with as many fuses as Electron's has, as it is delivered. */
function placeholderRuntime(folder: string): string {
  const count = Object.keys(FuseV1Options).length / 2
  mkdirSync(join(folder, 'resources'), { recursive: true })
  const wire = Buffer.concat([Buffer.from(SENTINEL), Buffer.from([1, count]), Buffer.from('1'.repeat(count))])
  writeFileSync(join(folder, 'electron'), wire, { mode: 0o755 })
  return folder
}

beforeAll(async () => {
  copy = copyProject({ copiesPacked: true })
  await copy.npmRun('build')
  const output = join(copy.above, 'dist')
  const builder = join(copy.project, 'node_modules/electron-builder/cli.js')
  await run(
    PINNED_NODE,
    [
      builder,
      ...['--linux', '--dir', `-c.electronDist=${placeholderRuntime(join(copy.above, 'runtime'))}`],
      `-c.directories.output=${output}`,
    ],
    { cwd: copy.project },
  )
  const [folder] = readdirSync(output).filter((name) => name.endsWith('unpacked'))
  resources = join(output, folder, 'resources')
  program = join(output, folder, 'takeloft')
}, 300_000)
afterAll(() => copy.remove())

const archive = (): string => join(resources, 'app.asar')

describe('the archive', () => {
  it('holds the program, its libraries and its version, and nothing of the window’s sources or libraries', () => {
    const files = listPackage(archive(), { isPack: false })
    expect(files).toEqual(
      expect.arrayContaining([
        '/package.json',
        '/out/main/main.js',
        '/out/main/render-worker.js',
        '/out/main/playback-worker.js',
        '/out/main/chain-helper.js',
        '/out/preload/preload.cjs',
        '/out/renderer/index.html',
      ]),
    )
    const top = new Set(files.map((path) => path.split('/')[1]))
    expect([...top].sort()).toEqual(['node_modules', 'out', 'package.json'])
    const libraries = new Set(
      files.flatMap((path) => /^\/node_modules\/((?:@[^/]+\/)?[^/@][^/]*)/.exec(path)?.[1] ?? []),
    )
    for (const needed of ['better-sqlite3', 'piscina', 'zod', 'env-paths', '@wasm-audio-decoders/flac']) {
      expect(libraries).toContain(needed)
    }
    for (const name of ['react', 'react-dom', 'react-aria-components', 'fft.js', 'electron']) {
      expect(libraries).not.toContain(name)
    }
    expect([...libraries].filter((name) => /^@(tanstack|types|react|electron)\//.test(name))).toEqual([])
  })

  it('has beside it what the system loads by itself, and nothing else that could run', () => {
    const beside = readdirSync(`${archive()}.unpacked`, { recursive: true, withFileTypes: true })
      .filter((one) => one.isFile())
      .map(({ name }) => name)
    expect(beside).toContain('linux-x64.node')
    expect(beside.filter((name) => !name.endsWith('.node'))).toEqual([])
  })

  it('says of each of its files what the bytes hash to, so that a change is noticed', () => {
    // Each block of 4 MiB and the whole, SHA-256 (electronjs.org, "ASAR Integrity").
    const { header, headerSize } = getRawHeader(archive())
    const entry = header.files.out as { files: Record<string, { files: Record<string, unknown> }> }
    const main = entry.files.main.files['main.js'] as {
      offset: string
      size: number
      integrity: { algorithm: string; hash: string; blockSize: number; blocks: string[] }
    }
    const bytes = readFileSync(archive())
    const start = 8 + headerSize + Number(main.offset)
    const hash = createHash('sha256')
      .update(bytes.subarray(start, start + main.size))
      .digest('hex')
    expect(main.integrity).toEqual({
      algorithm: 'SHA256',
      hash,
      blockSize: 4 * 1024 * 1024,
      blocks: [hash],
    })
  })
})

describe('the program’s fuses', () => {
  it('are burnt: no Node, no debugging, only the archive, and only as it was packed', async () => {
    const {
      version: _version,
      resetAdHocDarwinSignature: _signature,
      ...wire
    } = await getCurrentFuseWire(program)
    const burnt = Object.entries(wire).map(([fuse, state]) => [
      FuseV1Options[Number(fuse)],
      String.fromCharCode(Number(state)),
    ])
    expect(Object.fromEntries(burnt)).toEqual({
      RunAsNode: '0',
      EnableCookieEncryption: '1',
      EnableNodeOptionsEnvironmentVariable: '0',
      EnableNodeCliInspectArguments: '0',
      EnableEmbeddedAsarIntegrityValidation: '1',
      OnlyLoadAppFromAsar: '1',
      LoadBrowserProcessSpecificV8Snapshot: '0',
      GrantFileProtocolExtraPrivileges: '0',
    })
  })
})

describe('what is packed', () => {
  it('is all that the program needs', async () => {
    // Elsewhere, so that no library is found but those that were packed.
    const unpacked = join(copy.above, 'unpacked')
    extractAll(archive(), unpacked)
    rmSync(copy.project, { recursive: true })
    const work = join(copy.above, 'work')
    mkdirSync(work)
    const recording = waveBytes([fmtChunk(), chunkBytes('data', words16(randomWords(16, 48_000 * 15, 3)))])
    writeFileSync(join(work, 'lead.wav'), recording)
    const script = fileURLToPath(new URL('run-built-program.ts', import.meta.url))
    const { stdout } = await run(PINNED_NODE, [script, unpacked, work, join(work, 'lead.wav')], {
      env: { ...process.env, HOME: work, XDG_STATE_HOME: '', XDG_DATA_HOME: '', XDG_CACHE_HOME: '' },
      maxBuffer: 16 * 1024 * 1024,
    })
    expect(JSON.parse(stdout)).toMatchObject({
      loaded: { page: 200, preload: join(unpacked, 'out/preload/preload.cjs') },
      played: { peaks: 200 },
      reloaded: { isThere: true },
      quit: { status: 0 },
    })
  }, 300_000)
})
