// A copy of the project for what builds or starts it as a user does: with its libraries linked, and
// with something beside it that has to survive.

import { execFile } from 'node:child_process'
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
const COPIED = ['app', 'db', 'renderer', 'electron.vite.config.ts', 'package.json', 'package-lock.json']
const BESIDE = ['precious.txt', 'out/precious.txt'] as const

export interface ProjectCopy {
  /** The folder above the project. */
  readonly above: string
  readonly project: string
  /** What lies beside the project, by its path; null where it is gone. */
  readBeside(): Record<string, string | null>
  /** Runs one of the project's scripts, as `npm run` does. */
  npmRun(script: string, ...words: string[]): Promise<{ stdout: string; stderr: string }>
  remove(): void
}

export interface CopyOptions {
  /** Libraries whose folders are empty, for a test to fill. */
  readonly emptied?: readonly string[]
  /** Whether what the program is packed with is copied, because who packs it does not follow links. */
  readonly copiesPacked?: boolean
}

export function copyProject(options: CopyOptions = {}): ProjectCopy {
  const above = mkdtempSync(join(tmpdir(), 'takeloft-project-'))
  const project = join(above, 'project')
  for (const name of COPIED) cpSync(join(ROOT, name), join(project, name), { recursive: true })
  linkLibraries(join(project, 'node_modules'), options)
  mkdirSync(join(above, 'out'))
  for (const name of BESIDE) writeFileSync(join(above, name), 'precious')
  return {
    above,
    project,
    readBeside: () => Object.fromEntries(BESIDE.map((name) => [name, readOrNull(join(above, name))])),
    npmRun: (script, ...words) =>
      promisify(execFile)('npm', ['run', script, '--', ...words], { cwd: project }),
    remove: () => rmSync(above, { recursive: true, force: true }),
  }
}

function linkLibraries(folder: string, { emptied = [], copiesPacked = false }: CopyOptions): void {
  const from = join(ROOT, 'node_modules')
  const packed = copiesPacked ? packedFolders() : new Set()
  mkdirSync(folder)
  for (const name of readdirSync(from)) {
    if (emptied.includes(name)) mkdirSync(join(folder, name))
    else if (packed.has(name)) cpSync(join(from, name), join(folder, name), { recursive: true })
    else symlinkSync(join(from, name), join(folder, name))
  }
}

/** Folders of node_modules that are there for more than development: libraries, or scopes of them. */
function packedFolders(): Set<string> {
  const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')) as {
    packages: Record<string, { dev?: boolean }>
  }
  return new Set(
    Object.entries(lock.packages).flatMap(([path, { dev }]) =>
      dev === true ? [] : (path.split('/')[1] ?? []),
    ),
  )
}

function readOrNull(path: string): string | null {
  try {
    return readFileSync(path, 'utf8')
  } catch {
    return null
  }
}
