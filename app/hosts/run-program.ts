// Runs another program to its end, with its output on this program's.

import { spawn } from 'node:child_process'
import { constants } from 'node:os'

export interface ProgramEnd {
  /** null where a signal ended it. */
  readonly status: number | null
  readonly signal: NodeJS.Signals | null
  /** It was this program that was told to end, and told the other one. */
  readonly wasTold: boolean
  readonly seconds: number
  /** The last line of its standard error that is no stack trace's; empty where there is none. */
  readonly lastWords: string
}

export interface RunOptions {
  readonly cwd: string
  /** After that many milliseconds it is ended. */
  readonly timeout?: number
}

const LONGEST_WORDS = 2000
const STACK_LINE = /^ {2,}at /
const PASSED_ON = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const

/** Rejects where it cannot be started at all. */
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
      // Ctrl+C reaches both by itself.
      if (signal !== 'SIGINT') child.kill(signal)
    }
    // Before the other one is there: a signal in between is heard after this.
    for (const signal of PASSED_ON) process.on(signal, tell)
    const child = spawn(program, words, {
      cwd,
      stdio: ['inherit', 'inherit', 'pipe'],
      ...(timeout === undefined ? {} : { timeout }),
    })
    let said = ''
    child.stderr.setEncoding('utf8').on('data', (part: string) => {
      process.stderr.write(part)
      said = (said + part).slice(-LONGEST_WORDS)
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

/** The status that says how it ended, as shells have it. */
export const statusOf = ({ status, signal }: ProgramEnd): number =>
  status ?? 128 + (signal === null ? 0 : constants.signals[signal])
