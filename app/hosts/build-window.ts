// Builds the window when it has not been built since its sources changed.

import { existsSync, mkdirSync, mkdtempSync, renameSync, rmSync, statSync } from 'node:fs'
import { glob } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Failure } from '../contract/failure.ts'
import { WINDOW_FOLDER } from '../services/window-files.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))

/** @throws Failure `not-found` where there is neither a built window nor the means to build one */
export async function buildWindowIfNeeded(say: (message: string) => void): Promise<void> {
  const index = join(WINDOW_FOLDER, 'index.html')
  if (existsSync(index) && (await newestSource()) < statSync(index).mtimeMs) return
  say('Building the window …')
  try {
    const [{ build }, { rendererConfig }] = await Promise.all([
      import('vite'),
      import('../../electron.vite.config.ts'),
    ])
    mkdirSync(dirname(WINDOW_FOLDER), { recursive: true })
    const fresh = mkdtempSync(`${WINDOW_FOLDER}-`)
    const environment = process.env.NODE_ENV
    try {
      // One and the same window, whoever builds it: under a test's environment it would be another one, and slow.
      process.env.NODE_ENV = 'production'
      await build({
        ...rendererConfig,
        build: { ...rendererConfig.build, outDir: fresh },
        configFile: false,
        logLevel: 'error',
      })
      putInPlace(fresh)
    } finally {
      if (environment === undefined) delete process.env.NODE_ENV
      else process.env.NODE_ENV = environment
      rmSync(fresh, { recursive: true, force: true })
    }
  } catch (error) {
    throw new Failure(
      'not-found',
      `The window could not be built: ${error instanceof Error ? error.message : String(error)}. Run "npm ci" and try again.`,
      {},
      error,
    )
  }
}

/** At one stroke, because a window that is open loads from there, and another process may be doing the same. */
function putInPlace(fresh: string): void {
  const former = `${fresh}-former`
  try {
    renameSync(WINDOW_FOLDER, former)
  } catch (error) {
    if (!isCode(error, 'ENOENT')) throw error
  }
  try {
    renameSync(fresh, WINDOW_FOLDER)
  } catch (error) {
    // Another process was faster, with the same window.
    if (!isCode(error, 'ENOTEMPTY') && !isCode(error, 'EEXIST')) throw error
  }
  rmSync(former, { recursive: true, force: true })
}

const isCode = (error: unknown, code: string): boolean =>
  error instanceof Error && 'code' in error && error.code === code

async function newestSource(): Promise<number> {
  let newest = 0
  for await (const file of glob(
    ['renderer/**/*', 'app/contract/*', 'electron.vite.config.ts', 'package-lock.json'],
    { cwd: ROOT },
  )) {
    newest = Math.max(newest, statSync(join(ROOT, file)).mtimeMs)
  }
  return newest
}
