// A command line run as a shell runs it, with what it cost: clock, user CPU time of all that
// it started, and on Linux the most memory that its processes held.

import { spawn } from 'node:child_process'
import { delimiter, dirname } from 'node:path'
import type { Cost } from './contest.ts'
import { watchPeakMemory } from './peak-memory.ts'
import { ROOT } from './places.ts'

export interface CommandCost extends Cost {
  /** Sum over the processes of the most that each held; null where the system does not tell. */
  readonly peakBytes: number | null
}

/** `node` in a command line is the Node that runs this. */
const environment = { ...process.env, PATH: `${dirname(process.execPath)}${delimiter}${process.env.PATH}` }

/**
 * Runs `command` in bash at the top of the tree; bash's own `time` also counts what a pipe starts.
 * @throws Error with what the command said when it fails
 */
export function timeCommand(command: string): Promise<CommandCost> {
  return new Promise((settle, refuse) => {
    const shell = spawn('bash', ['-c', `TIMEFORMAT='%3R %3U'; set -o pipefail; time ${command}`], {
      cwd: ROOT,
      env: environment,
      stdio: ['ignore', 'ignore', 'pipe'],
    })
    const memory = watchPeakMemory(shell.pid)
    let said = ''
    shell.stderr.setEncoding('utf8').on('data', (text: string) => {
      said = (said + text).slice(-20_000)
    })
    shell.on('error', (error) => {
      memory.stop()
      refuse(new Error(`The benchmark runs its commands in bash, which did not start: ${error.message}`))
    })
    shell.on('close', (status) => {
      const peakBytes = memory.stop()
      const times = /(\d+\.\d{3}) (\d+\.\d{3})\s*$/.exec(said)
      if (status !== 0 || times === null) refuse(new Error(`${command}\nended with ${status}: ${said}`))
      else settle({ wallS: Number(times[1]), userS: Number(times[2]), peakBytes })
    })
  })
}
