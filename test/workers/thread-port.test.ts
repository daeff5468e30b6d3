import { Worker } from 'node:worker_threads'
import { describe, expect, it, onTestFinished } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { createCaller, trustedMessage } from '../../app/contract/wire/calls.ts'
import { createThreadPort } from '../../app/workers/thread-port.ts'

const PORT = new URL('../../app/workers/thread-port.ts', import.meta.url).href
const CALLS = new URL('../../app/contract/wire/calls.ts', import.meta.url).href

/** A thread that answers `half` with its input's half, `buffer` with samples, and dies of `die`. */
const ENTRY = `
  const { parentPort } = await import('node:worker_threads')
  const { createThreadPort } = await import('${PORT}')
  const { answerCalls, trustedMessage } = await import('${CALLS}')
  let sent
  answerCalls(createThreadPort(parentPort), {
    read: trustedMessage,
    answer(act, input, { signal }) {
      if (act === 'half') return input / 2
      if (act === 'samples') return (sent = new Float32Array([1, 2, 3]))
      if (act === 'bytesKept') return sent.byteLength
      if (act === 'die') process.exit(1)
      return new Promise((_, reject) => signal.addEventListener('abort', () => reject(new Error('heard'))))
    },
  })
`

function startThread() {
  const worker = new Worker(new URL(`data:text/javascript,${encodeURIComponent(ENTRY)}`))
  onTestFinished(async () => {
    await worker.terminate()
  })
  const closedFailure = () => new Failure('unexpected', 'The thread is gone.')
  return createCaller(createThreadPort(worker), { read: trustedMessage, closedFailure })
}

describe('calls to a thread', () => {
  it('are answered', async () => {
    expect(await startThread()('half', 21)).toBe(10.5)
  })

  it('get samples handed over, not copied', async () => {
    const call = startThread()
    expect(await call('samples', null)).toEqual(Float32Array.of(1, 2, 3))
    expect(await call('bytesKept', null)).toBe(0)
  })

  it('reach the thread with their cancel', async () => {
    const abort = new AbortController()
    const call = startThread()('wait', null, { signal: abort.signal })
    abort.abort()
    await expect(call).rejects.toMatchObject({ message: expect.stringContaining('heard') })
  })

  it('fail when the thread dies, those under way and later ones', async () => {
    const call = startThread()
    const underWay = call('wait', null)
    const last = call('die', null)
    await expect(underWay).rejects.toMatchObject({ message: 'The thread is gone.' })
    await expect(last).rejects.toMatchObject({ message: 'The thread is gone.' })
    await expect(call('half', 1)).rejects.toMatchObject({ message: 'The thread is gone.' })
  })
})
