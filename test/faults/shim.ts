// Compiles the shim that makes the disk fail (shim.c).

import { execFileSync } from 'node:child_process'
import { join } from 'node:path'

/** @returns path of the library, inside `folder` */
export function compileShim(folder: string): string {
  const library = join(folder, 'shim.so')
  execFileSync('gcc', ['-shared', '-fPIC', '-O2', '-o', library, join(import.meta.dirname, 'shim.c'), '-ldl'])
  return library
}
