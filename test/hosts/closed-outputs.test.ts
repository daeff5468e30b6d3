// Outputs that are closed or full, and a process that has neither input nor a place for messages.

import { execFileSync, spawn } from 'node:child_process'
import { closeSync, openSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { at, curve, good } from './hostile-places.ts'
import { LAUNCHER, PINNED_NODE } from './run-takeloft.ts'

describe.skipIf(process.platform === 'win32')('an output that nobody takes', () => {
  const run = (
    words: readonly string[],
    stdio: [number | 'ignore', number | 'pipe', number | 'pipe'],
  ): Promise<{ status: number | null; stdout: string; stderr: string }> =>
    new Promise((resolve, reject) => {
      const child = spawn(PINNED_NODE, [LAUNCHER, ...words], {
        stdio,
        timeout: 60_000,
        killSignal: 'SIGKILL',
      })
      let [stdout, stderr] = ['', '']
      child.stdout?.on('data', (part) => {
        stdout += part
      })
      child.stderr?.on('data', (part) => {
        stderr += part
      })
      child.on('error', reject)
      child.on('close', (status) => resolve({ status, stdout, stderr }))
    })

  it.each<[string, string[]]>([
    ['measure', ['measure', good, '--levels-only']],
    ['measure --json', ['measure', good, '--levels-only', '--json']],
    ['fit', ['fit', '--source', curve, '--target', curve]],
    ['--help', ['--help']],
    ['a failure in JSON', ['measure', at('missing.wav'), '--json']],
  ])('(%s | head -0) ends with 2, without a trace of the stack', async (_what, words) => {
    const shell = spawn(
      'bash',
      ['-c', '"$@" | head -c 0; exit $PIPESTATUS', 'bash', PINNED_NODE, LAUNCHER, ...words],
      {
        stdio: ['ignore', 'pipe', 'pipe'],
      },
    )
    let stderr = ''
    shell.stderr.setEncoding('utf8').on('data', (text: string) => {
      stderr += text
    })
    const status = await new Promise((resolve) => shell.on('close', resolve))
    expect(status).toBe(2)
    expect(stderr).not.toMatch(/^\s+at /m)
    expect(stderr.match(/The output was closed before the result was written\./g)).toHaveLength(1)
  })

  it.skipIf(process.platform !== 'linux')('(a full device) is said, and ends with 2', async () => {
    const full = openSync('/dev/full', 'w')
    const { status, stderr } = await run(['measure', good, '--levels-only'], ['ignore', full, 'pipe'])
    closeSync(full)
    expect(status).toBe(2)
    expect(stderr).toMatch(/The result could not be written to the output \(ENOSPC\)\.\n$/)
  })

  it('nor any input or place for messages is no reason to fail', async () => {
    const script = '"$@" 0<&- 2>&-'
    const out = execFileSync('bash', [
      '-c',
      script,
      'bash',
      PINNED_NODE,
      LAUNCHER,
      'measure',
      good,
      '--levels-only',
    ])
    expect(out.toString()).toMatch(/sample peak/)
  })
})
