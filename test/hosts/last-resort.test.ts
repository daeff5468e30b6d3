// A process that serves outlives errors that nothing has caught, says them, and ends where they do not stop.

import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { PINNED_NODE } from './run-takeloft.ts'

const PROGRAM = fileURLToPath(new URL('failing-program.ts', import.meta.url))

interface Failing {
  readonly child: ChildProcessWithoutNullStreams
  tell(word: string): void
  printed(): string
  said(): string
}

function startProgram(): Failing {
  const child = spawn(PINNED_NODE, [PROGRAM])
  const texts = { printed: '', said: '' }
  child.stdout.on('data', (part: Buffer) => {
    texts.printed += part
  })
  child.stderr.on('data', (part: Buffer) => {
    texts.said += part
  })
  onTestFinished(() => void child.kill('SIGKILL'))
  return {
    child,
    tell: (word) => void child.stdin.write(`${word}\n`),
    printed: () => texts.printed,
    said: () => texts.said,
  }
}

describe('a process that serves', () => {
  it.each([
    ['throw', /thrown in a callback\n +at /],
    ['reject', /rejected by nobody\n +at /],
    ['reset', /an error without a listener\n +at /],
    ['nothing', /inside Takeloft, which keeps running. null/],
  ])('goes on after: %s, and says where it was', async (act, line) => {
    const { child, tell, printed, said } = startProgram()
    tell(act)
    await vi.waitFor(() => expect(printed()).toContain(`after ${act}`), 20_000)
    expect(said()).toMatch(line)
    expect(child.exitCode).toBeNull()
  })

  it('ends in good order where errors do not stop, with a status that says so', async () => {
    const { child, tell, printed, said } = startProgram()
    tell('storm')
    const [status] = await once(child, 'exit')
    expect(status).toBe(2)
    expect(printed().match(/closed/g)).toHaveLength(1)
    expect(said()).toMatch(/Takeloft ends because of repeated errors\./)
    // Not for ever, which would fill a disk.
    expect(said().match(/again/g)!.length).toBeLessThan(100)
  })

  it('goes on where nobody reads any more what it says', async () => {
    const { child, tell, printed } = startProgram()
    child.stderr.destroy()
    for (let i = 0; i < 5; i++) tell('throw')
    await vi.waitFor(() => expect(printed().match(/after throw/g)).toHaveLength(5), 20_000)
    child.stdout.destroy()
    tell('throw')
    tell('end')
    child.stdin.end()
    expect((await once(child, 'exit'))[0]).toBe(0)
  })
})
