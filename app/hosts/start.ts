// `npm start`: the window in Electron; where its runtime is not there, the same window in a browser.

import { spawn } from 'node:child_process'
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import open from 'open'
import { failureDataOf } from '../contract/failure.ts'
import { openWorkplace } from '../services/workplace.ts'
import { buildWindowIfNeeded } from './build-window.ts'
import { homeCataloguePath } from './home-catalogue.ts'
import { startLoopbackHost } from './loopback/loopback-host.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const say = (message: string): void => void process.stderr.write(`${message}\n`)

/** Path of Electron's program; null where it is not installed and could not be fetched. */
function electronProgram(): string | null {
  try {
    return createRequire(import.meta.url)('electron') as string
  } catch {
    return null
  }
}

async function startElectron(program: string, catalogue: string): Promise<number> {
  say('Building the program …')
  await run(process.execPath, [
    fileURLToPath(import.meta.resolve('electron-vite/bin/electron-vite.js')),
    'build',
  ])
  return run(program, [ROOT, `--catalogue=${catalogue}`])
}

const run = (program: string, words: string[]): Promise<number> =>
  new Promise((resolve, reject) => {
    const child = spawn(program, words, { cwd: ROOT, stdio: 'inherit' })
    child.on('error', reject)
    child.on('exit', (status) => resolve(status ?? 1))
  })

async function startBrowser(catalogue: string, port: number): Promise<void> {
  await buildWindowIfNeeded(say)
  const workplace = openWorkplace(catalogue)
  const host = await startLoopbackHost(workplace, { port, log: say })
  process.stdout.write(`${host.address}\n`)
  const hasDesktop =
    process.platform !== 'linux' ||
    process.env.DISPLAY !== undefined ||
    process.env.WAYLAND_DISPLAY !== undefined
  if (hasDesktop) await open(host.address)
  say(hasDesktop ? 'Opened in your browser.' : 'Open this address in a browser on this machine.')
  say('Ctrl+C ends Takeloft; everything is saved as you work.')
  const end = (): void => {
    void host.close().then(() => workplace.close())
  }
  process.once('SIGINT', end)
  process.once('SIGTERM', end)
}

try {
  const { values } = parseArgs({
    options: {
      browser: { type: 'boolean', default: false },
      catalogue: { type: 'string', default: homeCataloguePath() },
      port: { type: 'string', default: '0' },
    },
  })
  const program = values.browser ? null : electronProgram()
  if (program !== null) {
    process.exitCode = await startElectron(program, values.catalogue)
  } else {
    if (!values.browser) {
      say(
        'Electron’s runtime is not installed here and could not be fetched, so Takeloft opens in your browser instead.',
      )
    }
    await startBrowser(values.catalogue, Number(values.port))
  }
} catch (error) {
  say(failureDataOf(error).message)
  process.exitCode = 2
}
