// Runs another program to its end and forwards its output and the signals that this process gets.

import { spawn } from 'node:child_process'
import { constants } from 'node:os'

/** How a program ended. */
export interface ProgramEnd {
  /** null when a signal ended it. */
  readonly status: number | null
  readonly signal: NodeJS.Signals | null
  /** This process received SIGINT, SIGTERM or SIGHUP while the program ran. */
  readonly wasTold: boolean
  readonly seconds: number
  /** Last line of its standard error that does not belong to a stack trace; empty when there is none. */
  readonly lastWords: string
}

/** Where a program runs. */
export interface RunOptions {
  readonly cwd: string
  /** Milliseconds after which it is ended. */
  readonly timeout?: number
}

const MAX_WORDS = 2000
const STACK_LINE = /^ {2,}at /
const PASSED_ON = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const

/** Rejects when the program cannot be started. */
export function runProgram(
  program: string,
  words: readonly string[],
  { cwd, timeout }: RunOptions,
): Promise<ProgramEnd> {
  return new Promise((resolve, reject) => {
    const begun = performance.now()
    let wasTold = false
    const tell = (signal: NodeJS.Signals): void => {
      wasTold = true
      // SIGINT is not forwarded, because the terminal sends Ctrl+C to both processes.
      if (signal !== 'SIGINT') child.kill(signal)
    }
    // Registered before the child exists; a signal during the spawn is delivered afterwards.
    for (const signal of PASSED_ON) process.on(signal, tell)
    const child = spawn(program, words, {
      cwd,
      stdio: ['inherit', 'inherit', 'pipe'],
      ...(timeout === undefined ? {} : { timeout }),
    })
    let said = ''
    child.stderr.setEncoding('utf8').on('data', (part: string) => {
      process.stderr.write(part)
      said = (said + part).slice(-MAX_WORDS)
    })
    const finish = (): void => {
      for (const signal of PASSED_ON) process.off(signal, tell)
    }
    child.on('error', (error) => {
      finish()
      reject(error)
    })
    child.on('close', (status, signal) => {
      finish()
      const lines = said.split(/[\r\n]+/).filter((line) => line.trim() !== '' && !STACK_LINE.test(line))
      const lastWords = lines.at(-1)?.trim() ?? ''
      resolve({ status, signal, wasTold, seconds: (performance.now() - begun) / 1000, lastWords })
    })
  })
}

/** Exit status as a shell reports it: 128 plus the signal's number. */
export const statusOf = ({ status, signal }: ProgramEnd): number =>
  status ?? 128 + (signal === null ? 0 : constants.signals[signal])
