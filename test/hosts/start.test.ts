// `npm start`: its words, and what it does where Electron cannot be fetched, cannot start, or ends. Electron's
// package is one of the test's own: what it fetches is a script that writes down how it was called.

import { type ChildProcess, execFile, spawn } from 'node:child_process'
import { chmodSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { copyProject, type ProjectCopy } from './electron/project-copy.ts'
import { PINNED_NODE } from './run-takeloft.ts'

let copy: ProjectCopy
let electron: string
/** Where the faked programs of a test write down how they were called. */
let calls: string
/** Folder of what the system opens files with; it may be started after its test has ended. */
let opener: string
let tests = 0

beforeAll(() => {
  copy = copyProject({ emptied: ['electron'] })
  electron = join(copy.project, 'node_modules/electron')
})
afterAll(() => copy.remove())

beforeEach(() => {
  tests++
  calls = join(copy.above, `calls-${tests}.txt`)
  opener = join(copy.above, `opener-${tests}`)
  rmSync(electron, { recursive: true, force: true })
  mkdirSync(electron)
  writeFileSync(join(electron, 'package.json'), '{"name":"electron","version":"0.0.0"}')
  mkdirSync(opener)
  // What a system without a desktop opens files with.
  script(join(opener, 'run-mailcap'), `echo "browser $*" >> '${calls}'`)
})

const callsMade = (): string[] => (existsSync(calls) ? readFileSync(calls, 'utf8').trimEnd().split('\n') : [])

function script(path: string, body: string): void {
  writeFileSync(path, `#!/bin/sh\n${body}\n`)
  chmodSync(path, 0o755)
}

/** The runtime is there; what it does when it is started. */
function installElectron(body: string): void {
  mkdirSync(join(electron, 'dist'))
  script(join(electron, 'dist/electron'), `echo "electron $*" >> '${calls}'\n${body}`)
  writeFileSync(join(electron, 'path.txt'), 'electron')
}

/** What the package's own script does, which fetches the runtime. */
const installScript = (body: string): void => writeFileSync(join(electron, 'install.js'), body)

interface Started {
  readonly child: ChildProcess
  readonly status: Promise<number | null>
  /** Resolves once it is said, on either stream. */
  said(words: RegExp): Promise<string>
}

let running: ChildProcess | null = null
afterEach(() => {
  running?.kill('SIGKILL')
  running = null
})

/** Starts as npm does, which says in INIT_CWD where it was called. */
function start(words: readonly string[], env: NodeJS.ProcessEnv = {}): Started {
  const child = spawn(PINNED_NODE, [join(copy.project, 'app/hosts/start.ts'), ...words], {
    cwd: copy.project,
    env: {
      ...process.env,
      HOME: join(copy.above, 'home'),
      XDG_DATA_HOME: join(copy.above, 'home'),
      INIT_CWD: copy.above,
      DISPLAY: ':99',
      WAYLAND_DISPLAY: '',
      PATH: `${opener}${delimiter}${process.env.PATH}`,
      XDG_DATA_DIRS: join(copy.above, 'nothing'),
      ...env,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  running = child
  let output = ''
  const hearers = new Set<() => void>()
  for (const stream of [child.stdout, child.stderr]) {
    stream.setEncoding('utf8').on('data', (part: string) => {
      output += part
      for (const hear of hearers) hear()
    })
  }
  const status = new Promise<number | null>((resolve) => child.on('close', resolve))
  return {
    child,
    status,
    said: (words) =>
      new Promise((resolve, reject) => {
        const hear = (): void => {
          if (words.test(output)) resolve(output)
        }
        hearers.add(hear)
        hear()
        void status.then(() => reject(new Error(`It never said ${words}, but:\n${output}`)))
      }),
  }
}

/** The browser is started by a program of its own. No limit of its own: the test's ends it. */
const WHEN_DONE = { timeout: 60_000 }
const ADDRESS = /^http:\/\/127\.0\.0\.1:\d+\//m
/** Opens in the browser after all, saying why; gives what was said. */
async function opensInBrowser(started: Started): Promise<string> {
  await started.said(ADDRESS)
  const output = await started.said(/Ctrl\+C ends Takeloft/)
  // The browser is given a file, which goes when the program ends.
  if (output.includes('Opened in your browser.')) {
    await expect.poll(callsMade, WHEN_DONE).toContainEqual(expect.stringMatching(/^browser ./))
  }
  started.child.kill('SIGTERM')
  expect(await started.status).toBe(0)
  return output
}

describe('its words', () => {
  const npmStart = (...words: string[]): Promise<{ status: unknown; stderr: string }> =>
    new Promise((resolve) => {
      execFile('npm', ['start', '-s', '--', ...words], { cwd: copy.project }, (error, _stdout, stderr) =>
        resolve({ status: error?.code ?? 0, stderr }),
      )
    })

  it.each([
    [['--port', 'x'], '"x" is no port; give a whole number from 0 to 65535.'],
    [['--port', '65536'], '"65536" is no port; give a whole number from 0 to 65535.'],
    [['--port', '1e3'], '"1e3" is no port; give a whole number from 0 to 65535.'],
    [['--port=-1'], '"-1" is no port; give a whole number from 0 to 65535.'],
    [['--catalogue', ''], '--catalogue needs a file path; give one.'],
    [
      ['--catalog', 'x'],
      /^--catalog cannot be used this way; npm start takes --browser, --catalogue FILE and/,
    ],
    [['--port'], /^--port cannot be used this way;/],
    [['x.sqlite'], /^x\.sqlite cannot be used this way;/],
  ])('that cannot be used end it with one sentence and status 2: %j', async (words, sentence) => {
    const { status, stderr } = await npmStart(...words)
    expect(stderr.trim()).toMatch(sentence)
    expect(stderr.trim().split('\n')).toHaveLength(1)
    expect(status).toBe(2)
    expect(existsSync(join(copy.project, 'out'))).toBe(false)
  })

  it('name a catalogue from where npm was called', async () => {
    installElectron('exit 0')
    expect(await start(['--catalogue', 'songs/catalogue.sqlite']).status).toBe(0)
    expect(callsMade()).toEqual([
      `electron ${copy.project}/ --catalogue=${join(copy.above, 'songs/catalogue.sqlite')}`,
    ])
  })

  it('are taken from where npm was called by npm itself', async () => {
    installElectron('exit 0')
    const elsewhere = join(copy.above, 'elsewhere')
    mkdirSync(elsewhere)
    await new Promise<void>((resolve, reject) => {
      execFile(
        'npm',
        ['--prefix', copy.project, 'start', '--', '--catalogue', 'catalogue.sqlite'],
        { cwd: elsewhere, env: { ...process.env, DISPLAY: ':99' } },
        (error) => (error === null ? resolve() : reject(error)),
      )
    })
    expect(callsMade()[0]).toContain(`--catalogue=${join(elsewhere, 'catalogue.sqlite')}`)
  })
})

describe('where Electron’s runtime is not there', () => {
  it('it is fetched by the package’s own script, and started', async () => {
    installScript(`
      const { chmodSync, mkdirSync, writeFileSync } = require('node:fs')
      const { join } = require('node:path')
      mkdirSync(join(__dirname, 'dist'))
      writeFileSync(join(__dirname, 'dist/electron'), '#!/bin/sh\\necho "electron" >> \\'${calls}\\'\\n')
      chmodSync(join(__dirname, 'dist/electron'), 0o755)
      writeFileSync(join(__dirname, 'path.txt'), 'electron')`)
    const started = start([])
    await started.said(/Fetching Electron’s runtime/)
    expect(await started.status).toBe(0)
    expect(callsMade()).toEqual(['electron'])
  })

  it('and cannot be fetched, the browser opens, and it says why', async () => {
    // What the script of Electron 45.5.0 says without a network.
    installScript("console.error(new TypeError('fetch failed').stack); process.exit(1)")
    const said = await opensInBrowser(start([]))
    expect(said).toContain(
      'Electron cannot be used here: its runtime is not installed and could not be fetched (TypeError: fetch failed). Takeloft opens in your browser instead.',
    )
    await expect.poll(callsMade, WHEN_DONE).toEqual([expect.stringMatching(/^browser ./)])
  })

  it('stopping the fetching stops it all', async () => {
    installScript("console.error('up'); setTimeout(() => {}, 1e9)")
    const started = start([])
    await started.said(/^up$/m)
    started.child.kill('SIGTERM')
    expect(await started.said(/Stopped; Electron’s runtime was not fetched\./)).not.toMatch(ADDRESS)
    expect(await started.status).toBe(2)
  })
})

describe('where Electron is there', () => {
  it.each([
    [
      'lacks a library',
      "echo 'electron: error while loading shared libraries: libatk-1.0.so.0: cannot open shared object file' >&2; exit 127",
      'it ended while it was starting (status 127: electron: error while loading shared libraries: libatk-1.0.so.0: cannot open shared object file)',
    ],
    ['is ended by a signal', 'kill -SEGV $$', 'it ended while it was starting (signal SIGSEGV)'],
    [
      'refuses to run',
      "echo 'Running as root without --no-sandbox is not supported.' >&2; exit 1",
      'it ended while it was starting (status 1: Running as root without --no-sandbox is not supported.)',
    ],
  ])('and %s, the browser opens, and it says why', async (_what, body, why) => {
    installElectron(body)
    expect(await opensInBrowser(start([]))).toContain(
      `Electron cannot be used here: ${why}. Takeloft opens in your browser instead.`,
    )
    await expect.poll(callsMade, WHEN_DONE).toHaveLength(2)
  })

  it('and is no program, the browser opens, and it says why', async () => {
    installElectron('exit 0')
    chmodSync(join(electron, 'dist/electron'), 0o644)
    expect(await opensInBrowser(start([]))).toMatch(/it could not be started \(spawn .* EACCES\)/)
  })

  it.each([0, 2])('and ends with %d, so does this, without a browser', async (status) => {
    installElectron(`exit ${status}`)
    expect(await start([]).status).toBe(status)
    expect(callsMade()).toEqual([expect.stringMatching(/^electron /)])
  })

  it('and is told to end with this, no browser opens', async () => {
    installElectron("echo 'up' >&2; exec sleep 600")
    const started = start([])
    await started.said(/^up$/m)
    started.child.kill('SIGTERM')
    expect(await started.status).toBe(143)
    expect(callsMade()).toEqual([expect.stringMatching(/^electron /)])
  })

  it('and there is no desktop, the address is printed, and nothing opens', async () => {
    installElectron('exit 0')
    const said = await opensInBrowser(start([], { DISPLAY: '' }))
    expect(said).toContain('there is no desktop (neither DISPLAY nor WAYLAND_DISPLAY is set)')
    expect(said).toContain('Open this address in a browser on this machine.')
    expect(callsMade()).toEqual([])
  })

  it('and the program cannot be built, it says so and ends with 2', async () => {
    installElectron('exit 0')
    const main = join(copy.project, 'app/hosts/electron/main.ts')
    const text = readFileSync(main, 'utf8')
    writeFileSync(main, 'this is no program(')
    const started = start([])
    await started.said(/The program could not be built \(status \d+\); the output above says why\./)
    expect(await started.status).toBe(2)
    writeFileSync(main, text)
    expect(callsMade()).toEqual([])
  })
})
