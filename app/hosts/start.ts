// `npm start`: opens the window in Electron, or in a browser when Electron is missing or cannot start.

import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Failure, failureDataOf } from '../contract/failure.ts'
import { cacheCompiledCode } from './compile-cache.mjs'
import { electronProgram } from './electron-runtime.ts'
import { openInBrowser } from './loopback/open-in-browser.ts'
import { serveWindow } from './loopback/serve-window.ts'
import { runProgram, statusOf } from './run-program.ts'
import { type StartOptions, startOptionsOf } from './start-options.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const say = (message: string): void => void process.stderr.write(`${message}\n`)

/** Whether a window can be shown at all. */
const HAS_DESKTOP =
  process.platform !== 'linux' ||
  [process.env.DISPLAY, process.env.WAYLAND_DISPLAY].some(
    (display) => display !== undefined && display !== '',
  )

/** Exit statuses of the desktop program itself: quit, and a catalogue that cannot be opened. */
const OWN_STATUSES = [0, 2]
/** A program that cannot start here (libraries, sandbox, display) ends within this time. */
const STARTING_S = 20

/** @returns the exit status, or the reason why Electron cannot be used, worded to end a sentence */
async function startElectron(catalogue: string): Promise<number | string> {
  if (!HAS_DESKTOP) return 'there is no desktop (neither DISPLAY nor WAYLAND_DISPLAY is set)'
  const found = await electronProgram(say)
  if ('why' in found) return found.why
  await buildProgram()
  let end: Awaited<ReturnType<typeof runProgram>>
  try {
    end = await runProgram(found.program, [ROOT, `--catalogue=${catalogue}`], { cwd: ROOT })
  } catch (error) {
    return `it could not be started (${error instanceof Error ? error.message : String(error)})`
  }
  const { status, signal, wasTold, seconds, lastWords } = end
  if (wasTold || OWN_STATUSES.includes(status ?? -1)) return statusOf(end)
  const how = signal === null ? `status ${status}` : `signal ${signal}`
  if (seconds > STARTING_S) {
    say(`Takeloft ended unexpectedly (${how}). Everything saved is safe; start it again.`)
    return statusOf(end)
  }
  return `it ended while it was starting (${how}${lastWords === '' ? '' : `: ${lastWords}`})`
}

/** @throws Failure when the build fails */
async function buildProgram(): Promise<void> {
  say('Building the program …')
  // The package does not export its command-line program, so its path is built from package.json's.
  const folder = dirname(createRequire(import.meta.url).resolve('electron-vite/package.json'))
  const words = [join(folder, 'bin/electron-vite.js'), 'build', '--logLevel', 'warn']
  const { status, signal, wasTold } = await runProgram(process.execPath, words, { cwd: ROOT })
  if (wasTold) throw new Failure('cancelled', 'Stopped; the program was not built.')
  if (status === 0) return
  throw new Failure(
    'not-found',
    `The program could not be built (${signal === null ? `status ${status}` : signal}); the output above says why. Run "npm ci" and try again.`,
  )
}

async function startBrowser({ catalogue, port }: StartOptions): Promise<void> {
  // For the threads: they start sooner, and V8 of Node 24 can crash while several threads strip types at once.
  cacheCompiledCode()
  const { address, end } = await serveWindow({ catalogue, port, log: say })
  process.once('SIGINT', () => void end())
  process.once('SIGTERM', () => void end())
  process.stdout.write(`${address}\n`)
  if (HAS_DESKTOP) await openInBrowser(address)
  say(HAS_DESKTOP ? 'Opened in your browser.' : 'Open this address in a browser on this machine.')
  say('Ctrl+C ends Takeloft; everything is saved as you work.')
}

try {
  // npm runs scripts in the project's folder and passes the caller's folder in INIT_CWD.
  const options = startOptionsOf(process.argv.slice(2), process.env.INIT_CWD ?? process.cwd())
  const end = options.isBrowserWanted ? null : await startElectron(options.catalogue)
  if (typeof end === 'number') process.exitCode = end
  else {
    if (end !== null) say(`Electron cannot be used here: ${end}. Takeloft opens in your browser instead.`)
    await startBrowser(options)
  }
} catch (error) {
  say(failureDataOf(error).message)
  process.exitCode = 2
}
