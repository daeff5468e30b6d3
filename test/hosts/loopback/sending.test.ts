// What may be sent to the loopback host: dropped files, kept under safe names in folders of their own,
// and pictures, each up to a size.

import { once } from 'node:events'
import { readdirSync, readFileSync } from 'node:fs'
import { request } from 'node:http'
import { connect } from 'node:net'
import { dirname, relative, sep } from 'node:path'
import { Readable } from 'node:stream'
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest'
import type { FailureData } from '../../../app/contract/failure.ts'
import type { HostAnswer } from './ask-host.ts'
import { type OpenHost, openHost } from './open-host.ts'
import { happens, head } from './raw-socket.ts'

/** Bytes that the disk has left for the host; null: what it really has. */
const disk = vi.hoisted(() => ({ free: null as number | null }))
vi.mock('node:fs/promises', async (original) => {
  const real = await original<typeof import('node:fs/promises')>()
  const statfs = async (path: string) =>
    disk.free === null ? real.statfs(path) : { bavail: disk.free, bsize: 1 }
  return { ...real, default: { ...real, statfs }, statfs }
})

let host: OpenHost
beforeAll(async () => {
  host = await openHost()
})
afterAll(() => host.close())

describe('a dropped file', () => {
  const incoming = () =>
    readdirSync(host.workplace.folders.incoming, { recursive: true, withFileTypes: true })
  const send = (name: string, body: Uint8Array | string = 'sound') =>
    host.askFromWindow({ method: 'PUT', path: `/incoming/${name}`, body })

  it('is stored byte for byte under its own name in a folder of its own', async () => {
    const bytes = Buffer.from(Array.from({ length: 300_000 }, (_, n) => n % 251))
    const answers = [await send('lead%20take.wav', bytes), await send('lead%20take.wav', bytes)]
    const paths = answers.map(({ body }) => (JSON.parse(body.toString()) as { path: string }).path)
    expect(paths[0]).not.toBe(paths[1])
    for (const path of paths) {
      expect(path.endsWith(`${sep}lead take.wav`)).toBe(true)
      expect(relative(host.workplace.folders.incoming, path).split(sep)).toHaveLength(2)
      expect(readFileSync(path).equals(bytes)).toBe(true)
    }
  })

  it.each(['..%2f..%2fevil.wav', '%2fetc%2fevil.wav', '..%5c..%5cevil.wav', 'C%3a%5cevil.wav'])(
    'named %s never leaves that folder',
    async (name) => {
      const { status, body } = await send(name)
      expect(status).toBe(200)
      const { path } = JSON.parse(body.toString()) as { path: string }
      expect(dirname(dirname(path))).toBe(host.workplace.folders.incoming)
      expect(path.endsWith(`${sep}evil.wav`)).toBe(true)
    },
  )

  it.each(['.hidden', '%2f', '%', 'a%2f..'])('named %s is refused in a sentence', async (name) => {
    const before = incoming().length
    const { status, body } = await send(name)
    expect(status).toBe(422)
    expect(JSON.parse(body.toString())).toMatchObject({ code: 'invalid-input' })
    expect(incoming()).toHaveLength(before)
  })

  it.each(['a%00.wav', 'x'.repeat(300)])(
    'whose name no disk takes (%s) is refused in a sentence',
    async (name) => {
      const before = incoming().length
      const { status, body } = await send(name)
      expect([status, body.toString()]).toEqual([422, expect.not.stringContaining('Something went wrong')])
      expect(incoming()).toHaveLength(before)
    },
  )

  it('whose sending breaks off leaves nothing behind', async () => {
    const before = incoming().length
    const sent = request({
      hostname: '127.0.0.1',
      port: host.port,
      method: 'PUT',
      path: '/incoming/half.wav',
      headers: { ...host.headers, 'content-length': '1000000' },
    })
    sent.on('error', () => {})
    sent.write(Buffer.alloc(100_000))
    await vi.waitFor(() => expect(incoming().some(({ name }) => name === 'half.wav')).toBe(true))
    sent.destroy()
    await vi.waitFor(() => expect(incoming()).toHaveLength(before))
  })
})

describe('what is too long', () => {
  afterEach(() => {
    disk.free = null
  })

  /** Sends `bytes` of zeros, and says their number before only where it is told to. */
  const send = (path: string, bytes: number, said?: number, hasSession = true): Promise<HostAnswer> =>
    new Promise((resolve, reject) => {
      const sent = request({
        hostname: '127.0.0.1',
        port: host.port,
        method: 'PUT',
        path,
        agent: false,
        headers: {
          ...(hasSession ? host.headers : { origin: host.origin }),
          ...(said === undefined ? { 'transfer-encoding': 'chunked' } : { 'content-length': String(said) }),
        },
      })
      sent.on('response', (answer) => {
        const parts: Buffer[] = []
        answer.on('data', (part: Buffer) => parts.push(part))
        answer.on('end', () => {
          resolve({ status: answer.statusCode!, headers: answer.headers, body: Buffer.concat(parts) })
          sent.destroy()
        })
      })
      sent.on('error', reject)
      Readable.from(zeros(bytes)).pipe(sent)
    })
  function* zeros(bytes: number): Generator<Buffer> {
    const part = Buffer.alloc(65_536)
    for (let sent = 0; sent < bytes; sent += part.length) yield part.subarray(0, bytes - sent)
  }
  const failureOf = ({ body }: HostAnswer) => JSON.parse(body.toString()) as FailureData
  const incoming = () => readdirSync(host.workplace.folders.incoming, { recursive: true })
  const MB = 1e6
  // What stays free for the catalogue.
  const KEPT = 256 * 2 ** 20

  it('as a take for its disk is refused before it is sent, with what room there is', async () => {
    disk.free = KEPT + 5 * MB
    const before = incoming()
    const answer = await send('/incoming/long.wav', 100_000, 6 * MB)
    expect(answer.status).toBe(413)
    expect(failureOf(answer)).toMatchObject({
      code: 'disk-full',
      message: expect.stringMatching(/has room for 5 MB more, and this file is larger; free some space/),
    })
    expect(incoming()).toEqual(before)
    expect((await send('/incoming/short.wav', 4 * MB, 4 * MB)).status).toBe(200)
  })

  it('as a take of unknown length is refused where the room ends, and nothing stays of it', async () => {
    disk.free = KEPT + 5 * MB
    const before = incoming()
    const answer = await send('/incoming/endless.wav', 50 * MB)
    expect(answer.status).toBe(422)
    expect(failureOf(answer).code).toBe('disk-full')
    expect(incoming()).toEqual(before)
  })

  it('as a take is more than 16 GiB on any disk', async () => {
    disk.free = 1e15
    const answer = await send('/incoming/endless.wav', 100_000, 16 * 2 ** 30 + 1)
    expect(answer.status).toBe(413)
    expect(failureOf(answer)).toMatchObject({
      code: 'invalid-input',
      message: expect.stringMatching(/more than 16 GB; split the recording/),
    })
  })

  it.each([
    ['whose length is said', 65 * 2 ** 20, 413],
    ['whose length is not said', undefined, 422],
  ])('as a picture is more than 64 MiB (%s)', async (_how, said, status) => {
    const answer = await send('/pictures/plot.png', 65 * 2 ** 20, said)
    expect([answer.status, failureOf(answer)]).toMatchObject([
      status,
      { code: 'invalid-input', message: expect.stringMatching(/^This picture has more than 64 MB; /) },
    ])
  })

  it('is refused at once from whoever has no session', async () => {
    expect((await send('/incoming/a.wav', 2 ** 30, 2 ** 30, false)).status).toBe(403)
    expect((await send('/incoming/a.wav', 2 ** 30, undefined, false)).status).toBe(403)
  })

  it('is not listened to for ever after it has been refused', async () => {
    const socket = connect(host.port, '127.0.0.1')
    socket.on('error', () => {})
    const headers = {
      Host: `127.0.0.1:${host.port}`,
      ...host.headers,
      'Content-Length': '1000000000',
    }
    socket.write(head('PUT /incoming/.hidden HTTP/1.1', headers))
    const [answer] = (await once(socket, 'data')) as [Buffer]
    expect(answer.toString()).toMatch(/^HTTP\/1\.1 422 /)
    const drip = setInterval(() => socket.write('x'), 50)
    await happens(socket, 'close')
    clearInterval(drip)
  })
})
