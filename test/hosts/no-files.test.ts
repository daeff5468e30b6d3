// Pipes, devices, sockets and folders where the command line reads a file: refused at once, with 2
// and one sentence, by a process that ends by itself.

import { execFileSync } from 'node:child_process'
import { createServer } from 'node:net'
import { describe, it } from 'vitest'
import { at, CALLS, expectRefusal } from './hostile-places.ts'
import { startTakeloft } from './start-takeloft.ts'

describe.skipIf(process.platform === 'win32')('what is no file is refused at once', () => {
  const fifo = at('fifo')
  execFileSync('mkfifo', [fifo])

  describe.each(Object.entries(CALLS))('as %s', (_place, call) => {
    it.each([fifo, '/dev/zero', '/dev/urandom', '/dev/tty', '/proc/self/status', at('')])(
      '%s',
      async (path) => {
        expectRefusal(await startTakeloft(call(path)).ended, path)
      },
    )

    it('a socket', async () => {
      const path = at('socket')
      const server = createServer().listen(path)
      try {
        expectRefusal(await startTakeloft(call(path)).ended, path)
      } finally {
        server.close()
      }
    })
  })
})
