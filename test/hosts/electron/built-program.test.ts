// The desktop program as `npm run build` makes it: what is written where, and that it works from there. Node
// runs it with Electron faked; Electron itself is not run.

import { execFile } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  cpSync,
  existsSync,
  globSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../../signals/wave-bytes.ts'
import { PINNED_NODE } from '../run-takeloft.ts'
import { copyProject, type ProjectCopy } from './project-copy.ts'

const run = promisify(execFile)
let copy: ProjectCopy
let out: string
let packageFile: { version: string; main: string; dependencies: Record<string, string> }

beforeAll(async () => {
  copy = copyProject()
  out = join(copy.project, 'out')
  packageFile = JSON.parse(readFileSync(join(copy.project, 'package.json'), 'utf8'))
  await copy.npmRun('build')
}, 180_000)
afterAll(() => copy.remove())

describe('npm run build', () => {
  it('writes into out/ and nowhere else, and leaves alone what lies beside the project', () => {
    expect(copy.readBeside()).toEqual({ 'precious.txt': 'precious', 'out/precious.txt': 'precious' })
    expect(readdirSync(copy.above).sort()).toEqual(['out', 'precious.txt', 'project'])
    expect(readdirSync(join(copy.above, 'out'))).toEqual(['precious.txt'])
    expect(readdirSync(out).sort()).toEqual(['main', 'preload', 'renderer'])
  })

  it('puts the entry where package.json says, with all of its process in one folder', () => {
    const main = readdirSync(join(out, 'main'), { withFileTypes: true })
    expect(join('out/main', 'main.js')).toBe(packageFile.main)
    expect(main.every((file) => file.isFile())).toBe(true)
    expect(main.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['main.js', 'render-worker.js', 'playback-worker.js', 'chain-helper.js']),
    )
  })

  it('makes the same window as the loopback host does', async () => {
    const byBuild = join(copy.above, 'by npm run build')
    cpSync(join(out, 'renderer'), byBuild, { recursive: true })
    rmSync(join(out, 'renderer'), { recursive: true })
    const script = `await (await import('./app/scripts/build-window.ts')).buildWindowIfNeeded(() => {})`
    await run(PINNED_NODE, ['--input-type=module', '--eval', script], { cwd: copy.project })
    const filesIn = (folder: string): Record<string, string> =>
      Object.fromEntries(
        globSync('**/*.*', { cwd: folder })
          .sort()
          .map((name) => [
            name,
            createHash('sha256')
              .update(readFileSync(join(folder, name)))
              .digest('hex'),
          ]),
      )
    expect(Object.keys(filesIn(byBuild)).length).toBeGreaterThanOrEqual(4)
    expect(filesIn(join(out, 'renderer'))).toEqual(filesIn(byBuild))
    rmSync(byBuild, { recursive: true })
  })

  it('imports the libraries instead of holding copies of them', () => {
    const files = readdirSync(join(out, 'main')).map((name) => readFileSync(join(out, 'main', name), 'utf8'))
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
      'yauzl',
      'yazl',
      'zod',
    ])
    expect(libraries.filter((name) => !Object.hasOwn(packageFile.dependencies, name))).toEqual([])
  })

  it('makes a preload script that a sandbox can run: CommonJS, and nothing but Electron in it', () => {
    const text = readFileSync(join(out, 'preload/preload.cjs'), 'utf8')
    expect([...text.matchAll(/require\(["'](.*?)["']\)/g)].map(([, name]) => name)).toEqual(['electron'])
    expect(text).not.toMatch(/^(import|export) /m)
  })
})

describe('the built program', () => {
  let seen: Record<string, unknown> & { log: string }
  let recording: Buffer

  beforeAll(async () => {
    const work = join(copy.above, 'work')
    mkdirSync(work)
    recording = waveBytes([fmtChunk(), chunkBytes('data', words16(randomWords(16, 48_000 * 15, 3)))])
    writeFileSync(join(work, 'lead.wav'), recording)
    const script = fileURLToPath(new URL('run-built-program.ts', import.meta.url))
    const { stdout } = await run(PINNED_NODE, [script, copy.project, work, join(work, 'lead.wav')], {
      // Where env-paths and Node look for the user's folders.
      env: { ...process.env, HOME: work, XDG_STATE_HOME: '', XDG_DATA_HOME: '', XDG_CACHE_HOME: '' },
      maxBuffer: 16 * 1024 * 1024,
    })
    seen = JSON.parse(stdout) as typeof seen
  }, 180_000)

  it('loads its page, script, style and preload script from where they lie', () => {
    expect(seen.loaded).toEqual({
      page: 200,
      files: expect.arrayContaining([
        ['assets/index.js', 200],
        ['assets/index.css', 200],
        ['icon.svg', 200],
      ]),
      preload: join(out, 'preload/preload.cjs'),
      programVersion: packageFile.version,
    })
    expect((seen.loaded as { files: unknown[] }).files).toHaveLength(3)
  })

  it('takes in a recording and plays it', () => {
    expect(seen).toMatchObject({
      take: { frames: 48_000 * 15, sha256: createHash('sha256').update(recording).digest('hex') },
      played: { spanBytes: 4800 * 4 * 4, peaks: 200 },
    })
  })

  it('saves a file by the system’s dialog, but not over a take, and prints', () => {
    expect(seen.saved).toEqual({
      saved: { savedAs: join(copy.above, 'work', 'Mine.chain.json') },
      text: '{}\n',
      refused: 'conflict',
      printed: null,
      prints: 1,
    })
    expect(readFileSync(join(copy.above, 'work', 'lead.wav')).equals(recording)).toBe(true)
  })

  it('goes on with a bounce when the page is loaded again, and tells the next page', () => {
    expect(seen.reloaded).toEqual({
      subject: { kind: 'bounce', songTitle: 'Seven Stairs' },
      hadEnded: false,
      isThere: true,
    })
  })

  it('goes on with a bounce when the page crashes, and offers to open it again', () => {
    expect(seen.crashed).toEqual({
      detail: expect.stringContaining('Bounce of Seven Stairs continues.'),
      // One before it, and this.
      reloads: 2,
      bounce: { subject: { kind: 'bounce', songTitle: 'Seven Stairs' }, hadEnded: false, isThere: true },
      bounces: 2,
    })
  })

  it('opens a second catalogue beside the first, and closes it with unsaved chains after a question', () => {
    expect(seen.secondCatalogue).toEqual({
      cataloguePath: join(copy.above, 'work', 'second', 'catalogue.sqlite'),
      artists: 0,
    })
    expect(seen.unsaved).toEqual({ kept: 2, closed: 1 })
  })

  it('quits during a bounce after a question, and leaves nothing of the bounce', () => {
    expect(seen.quit).toEqual({
      detail: expect.stringMatching(/^Bounce of Seven Stairs: \d+ %, rendering the stems\.\n/),
      stillThere: 1,
      status: 0,
    })
    expect(seen.bounced).toEqual(['crashed', 'reloaded'])
    expect(existsSync(join(copy.above, 'work', 'catalogue.sqlite-wal'))).toBe(false)
  })

  it('has written a log', () => {
    expect(seen.log).toContain(`Takeloft ${packageFile.version} on ${process.platform}`)
    expect(seen.log).toContain('The page of a window has ended: crashed, exit code 139.')
    expect(seen.log).toMatch(/Closed ~\/catalogue\.sqlite\.\n$/)
    // An error that nothing catches ends neither the program nor its bounce.
    expect(seen.log.match(/\w*Error.*/g)).toEqual(['Error: planted, and caught by nobody'])
  })
})
