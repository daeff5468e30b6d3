// Builds the window when it has not been built since its sources changed.

import { existsSync, statSync } from 'node:fs'
import { glob } from 'node:fs/promises'
import { join } from 'node:path'
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
    await build({ ...rendererConfig, root: join(ROOT, 'renderer'), configFile: false, logLevel: 'error' })
  } catch (error) {
    throw new Failure(
      'not-found',
      `The window could not be built: ${error instanceof Error ? error.message : String(error)}. Run "npm ci" and try again.`,
      {},
      error,
    )
  }
}

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
