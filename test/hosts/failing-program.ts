// A program that serves until it is told to fail: run by last-resort.test.ts as a process of its own.

import { EventEmitter } from 'node:events'
import { keepServing } from '../../app/hosts/last-resort.ts'

const alive = setInterval(() => {}, 1_000)
keepServing({
  log: (message) => process.stderr.write(`${message}\n`),
  async end() {
    process.stdout.write('closed\n')
    process.exitCode = 2
  },
})

const acts: Readonly<Record<string, () => void>> = {
  throw: () =>
    setImmediate(() => {
      throw new Error('thrown in a callback')
    }),
  reject: () => void Promise.reject(new Error('rejected by nobody')),
  reset: () =>
    void setImmediate(() => new EventEmitter().emit('error', new Error('an error without a listener'))),
  storm: () =>
    void setInterval(() => {
      throw new Error('again')
    }, 1),
  nothing: () => void Promise.reject(null),
  end: () => clearInterval(alive),
}

process.stdin.setEncoding('utf8').on('data', (said: string) => {
  for (const word of said.trim().split('\n')) {
    acts[word]?.()
    // After what the act has set off.
    setTimeout(() => process.stdout.write(`after ${word}\n`), 20)
  }
})
