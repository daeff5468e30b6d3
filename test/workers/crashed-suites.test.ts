// Which errors of the runner are crashes of the runtime, and so are tried a second time.

import { expect, it } from 'vitest'
import { crashesIn } from '../crashed-suites.ts'

const exit = (how: string): Error =>
  new Error('[vitest-pool]: Worker forks emitted error.', {
    cause: new Error(
      `Worker exited unexpectedly with ${how} during started state while running test file /a/b.test.ts`,
    ),
  })

it('a process that a trap or a fault ended has crashed', () => {
  expect(crashesIn([exit('signal SIGTRAP'), exit('signal SIGSEGV')])).toEqual([
    { signal: 'SIGTRAP', file: '/a/b.test.ts' },
    { signal: 'SIGSEGV', file: '/a/b.test.ts' },
  ])
})

it.each([exit('exit code 1'), exit('signal SIGKILL'), new Error('Unhandled rejection'), 'words', null])(
  '%s is no crash, and neither is it beside one',
  (error) => {
    expect(crashesIn([exit('signal SIGTRAP'), error])).toBeNull()
  },
)
