// The loopback host on a real port: who is let in, what the answers carry, and that nothing
// can be read or written outside of its folders.

import { once } from 'node:events'
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { request } from 'node:http'
import { connect } from 'node:net'
import { networkInterfaces, tmpdir } from 'node:os'
import { dirname, join, relative, sep } from 'node:path'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { WebSocket } from 'ws'
import { buildWindowIfNeeded } from '../../app/hosts/build-window.ts'
import { type LoopbackHost, startLoopbackHost } from '../../app/hosts/loopback/loopback-host.ts'
import { openWorkplace, type Workplace } from '../../app/services/workplace.ts'
import { askHost, type HostAnswer, type Question } from './ask-host.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-loopback-'))
const logged: string[] = []
let workplace: Workplace
let host: LoopbackHost
let origin: string
let cookie: string

beforeAll(async () => {
  await buildWindowIfNeeded(() => {})
  workplace = openWorkplace(join(folder, 'catalogue.sqlite'))
  host = await startLoopbackHost(workplace, { port: 0, log: (message) => logged.push(message) })
  origin = new URL(host.address).origin
  const { headers } = await askHost(host.address, {
    path: new URL(host.address).pathname + new URL(host.address).search,
  })
  cookie = headers['set-cookie']![0].split(';')[0]
})
afterAll(async () => {
  await host.close()
  await workplace.close()
  rmSync(folder, { recursive: true, force: true })
})

const ask = (question: Question): Promise<HostAnswer> => askHost(host.address, question)
/** As the window asks: with the cookie and, for what changes something, its origin. */
const askFromWindow = ({ headers, ...question }: Question): Promise<HostAnswer> =>
  ask({ ...question, headers: { cookie, origin, ...headers } })

describe('the address that the host prints', () => {
  it('is on 127.0.0.1 and holds a token of 24 random bytes', () => {
    const { hostname, searchParams } = new URL(host.address)
    expect(hostname).toBe('127.0.0.1')
    expect(Buffer.from(searchParams.get('token')!, 'base64url')).toHaveLength(24)
  })

  it('is another one with each start', async () => {
    const other = await startLoopbackHost(workplace, { port: 0, log: () => {} })
    await other.close()
    const tokenOf = (address: string) => new URL(address).searchParams.get('token')
    expect(tokenOf(other.address)).not.toBe(tokenOf(host.address))
  })

  it('is refused, in a sentence, where another program has the port', async () => {
    const port = Number(new URL(host.address).port)
    await expect(startLoopbackHost(workplace, { port, log: () => {} })).rejects.toMatchObject({
      code: 'conflict',
      message: `Port ${port} is taken by another program, perhaps another Takeloft; choose another, or none for any free one.`,
    })
  })

  it('gives a cookie that scripts and other sites never get, and leaves the address bar', async () => {
    const { status, headers } = await ask({ path: `/?token=${cookie.split('=')[1]}` })
    expect(status).toBe(303)
    expect(headers.location).toBe('/')
    expect(headers['cache-control']).toBe('no-store')
    expect(headers['set-cookie']).toEqual([
      expect.stringMatching(/^takeloft-\d+=[\w-]{32}; HttpOnly; SameSite=Strict; Path=\/$/),
    ])
  })

  it('answers on no other interface of this machine', async () => {
    const others = Object.values(networkInterfaces()).flatMap((all = []) =>
      all.filter(({ internal, family }) => !internal && family === 'IPv4').map(({ address }) => address),
    )
    for (const hostname of [...others, '::1', '127.0.0.2']) {
      const socket = connect(Number(new URL(host.address).port), hostname)
      const [error] = (await once(socket, 'error')) as [NodeJS.ErrnoException]
      expect(error.code, hostname).toMatch(/ECONNREFUSED|EADDRNOTAVAIL|ENETUNREACH/)
    }
  })
})

describe('whoever', () => {
  it.each<[string, Question]>([
    ['has no token', { path: '/' }],
    ['has the wrong token', { path: `/?token=${'A'.repeat(32)}` }],
    ['has a token of another length', { path: '/?token=A' }],
    ['has a wrong cookie', { path: '/', headers: { cookie: 'takeloft-1=x' } }],
    ['asks for a file without a token', { path: '/index.html' }],
    ['asks for peaks without a token', { path: '/peaks/1' }],
    ['sends no address', { path: '//' }],
  ])('%s is refused', async (_who, question) => {
    const { status, headers, body } = await ask(question)
    expect(status).toBe(403)
    expect(headers['set-cookie']).toBeUndefined()
    expect(body.toString()).toMatch(/^[A-Z].*\.\n$/)
  })

  it.each([
    ['localhost', 'localhost'],
    ['another name for this machine', 'rebound.example'],
    ['the address without its port', '127.0.0.1'],
  ])('comes by %s is refused in spite of the cookie', async (_name, name) => {
    const { status } = await ask({ path: '/', headers: { cookie, host: name } })
    expect(status).toBe(403)
  })

  it.each(['http://rebound.example', 'https://127.0.0.1', 'null', 'http://127.0.0.1:1'])(
    'comes from %s is refused in spite of the cookie',
    async (foreign) => {
      expect((await ask({ path: '/', headers: { cookie, origin: foreign } })).status).toBe(403)
      const put = { method: 'PUT', path: '/incoming/a.wav', headers: { cookie, origin: foreign }, body: 'x' }
      expect((await ask(put)).status).toBe(403)
    },
  )

  it('would change something without saying where from is refused', async () => {
    const { status } = await ask({ method: 'PUT', path: '/incoming/a.wav', headers: { cookie }, body: 'x' })
    expect(status).toBe(403)
  })

  it('has the cookie and the right origin is let in', async () => {
    expect((await askFromWindow({ path: '/' })).status).toBe(200)
  })
})

describe('a WebSocket', () => {
  const knock = async (path: string, headers: Record<string, string>): Promise<string> => {
    const socket = new WebSocket(`${origin.replace('http', 'ws')}${path}`, { headers })
    const [what] = await Promise.race([
      once(socket, 'open').then(() => ['open']),
      once(socket, 'error').then(([error]) => [(error as Error).message]),
    ]).catch((error: Error) => [error.message])
    socket.terminate()
    return what
  }

  it('from the window is taken', async () => {
    expect(await knock('/port', { cookie, origin })).toBe('open')
  })

  it.each<[string, string, () => Record<string, string>]>([
    ['without an origin', '/port', () => ({ cookie })],
    ['from a foreign origin', '/port', () => ({ cookie, origin: 'http://rebound.example' })],
    ['without a cookie', '/port', () => ({ origin })],
    ['by another host name', '/port', () => ({ cookie, origin, host: 'rebound.example' })],
    ['to another path', '/', () => ({ cookie, origin })],
    ['to another path, with the token', '/?token=x', () => ({ cookie, origin })],
  ])('%s is refused', async (_how, path, headers) => {
    expect(await knock(path, headers())).toBe('Unexpected server response: 403')
  })

  it('asked for with an address that is none is refused, and the host lives on', async () => {
    const socket = connect(Number(new URL(host.address).port), '127.0.0.1')
    socket.write(
      `GET // HTTP/1.1\r\nHost: ${new URL(origin).host}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\r\n`,
    )
    const [answer] = (await once(socket, 'data')) as [Buffer]
    expect(answer.toString()).toMatch(/^HTTP\/1\.1 403 /)
    socket.destroy()
    expect((await askFromWindow({ path: '/' })).status).toBe(200)
  })
})

describe('an answer', () => {
  it('of the window brings isolation and a policy that lets in nothing from elsewhere', async () => {
    const { headers, body } = await askFromWindow({ path: '/' })
    expect(headers).toMatchObject({
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-embedder-policy': 'require-corp',
      'cross-origin-resource-policy': 'same-origin',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
      'content-type': 'text/html; charset=utf-8',
    })
    const policy = Object.fromEntries(
      String(headers['content-security-policy'])
        .split('; ')
        .map((rule) => [rule.split(' ')[0], rule.split(' ').slice(1).join(' ')]),
    )
    expect(policy).toMatchObject({
      'default-src': "'none'",
      'script-src': "'self'",
      'connect-src': "'self'",
      'frame-ancestors': "'none'",
      'base-uri': "'none'",
    })
    expect(body.toString()).toContain('<div id="window">')
    expect(body.toString()).not.toMatch(/https?:\/\//)
  })

  it('of a sound route is isolated as well', async () => {
    const { status, headers } = await askFromWindow({ path: '/peaks/1' })
    expect(status).toBe(422)
    expect(headers['cross-origin-resource-policy']).toBe('same-origin')
  })

  it.each([
    '/../package.json',
    '/..%2f..%2fpackage.json',
    '/%2e%2e/%2e%2e/app/hosts/start.ts',
    '/..%5c..%5cpackage.json',
    '/assets/..%2f..%2f..%2fapp%2fhosts%2fcommand-line%2ftakeloft.mjs',
    '/assets/..%2f..%2f..%2frenderer%2findex.html',
    '/index.html%00.js',
    '/%',
    '/catalogue.sqlite',
    '/.js',
    '//etc/passwd',
    '/no-such-file.js',
  ])('to %s is that there is no such file', async (path) => {
    expect((await askFromWindow({ path })).status).toBe(404)
  })

  it('to anything but a GET of a file is that there is none', async () => {
    expect((await askFromWindow({ method: 'POST', path: '/', body: 'x' })).status).toBe(404)
    expect((await askFromWindow({ method: 'DELETE', path: '/index.html' })).status).toBe(404)
  })

  it('never ended in an error of ours', () => {
    expect(logged).toEqual([])
  })
})

describe('a dropped file', () => {
  const incoming = () => readdirSync(workplace.folders.incoming, { recursive: true, withFileTypes: true })
  const send = (name: string, body: Uint8Array | string = 'sound') =>
    askFromWindow({ method: 'PUT', path: `/incoming/${name}`, body })

  it('is stored byte for byte under its own name in a folder of its own', async () => {
    const bytes = Buffer.from(Array.from({ length: 300_000 }, (_, n) => n % 251))
    const answers = [await send('lead%20take.wav', bytes), await send('lead%20take.wav', bytes)]
    const paths = answers.map(({ body }) => (JSON.parse(body.toString()) as { path: string }).path)
    expect(paths[0]).not.toBe(paths[1])
    for (const path of paths) {
      expect(path.endsWith(`${sep}lead take.wav`)).toBe(true)
      expect(relative(workplace.folders.incoming, path).split(sep)).toHaveLength(2)
      expect(readFileSync(path).equals(bytes)).toBe(true)
    }
  })

  it.each(['..%2f..%2fevil.wav', '%2fetc%2fevil.wav', '..%5c..%5cevil.wav', 'C%3a%5cevil.wav'])(
    'named %s never leaves that folder',
    async (name) => {
      const { status, body } = await send(name)
      expect(status).toBe(200)
      const { path } = JSON.parse(body.toString()) as { path: string }
      expect(dirname(dirname(path))).toBe(workplace.folders.incoming)
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
    const { hostname, port } = new URL(host.address)
    const sent = request({
      hostname,
      port,
      method: 'PUT',
      path: '/incoming/half.wav',
      headers: { cookie, origin, 'content-length': '1000000' },
    })
    sent.on('error', () => {})
    sent.write(Buffer.alloc(100_000))
    await vi.waitFor(() => expect(incoming().some(({ name }) => name === 'half.wav.part')).toBe(true))
    sent.destroy()
    await vi.waitFor(() => expect(incoming()).toHaveLength(before))
  })
})

describe('a span of playback', () => {
  const spanOf = async (path: string) => {
    const { status, body } = await askFromWindow({ path: `/playback/${path}` })
    return {
      status,
      ...(status === 404 ? {} : (JSON.parse(body.toString()) as { code: string; message: string })),
    }
  }

  it.each(['a/0/0', 'a/0/96001', 'a/0/99999999999999999999', 'a/99999999999999999999/10'])(
    'of %s is out of bounds',
    async (path) => {
      expect(await spanOf(path)).toMatchObject({
        status: 422,
        code: 'invalid-input',
        message: 'A span has 1 to 96000 frames.',
      })
    },
  )

  it('of a playback that is closed says so', async () => {
    expect(await spanOf('a/-480/96000')).toMatchObject({
      status: 422,
      code: 'not-found',
      message: 'This playback has been closed; start it again.',
    })
  })

  it.each(['a/0/1.5', 'a/0/-1', 'a/x/1', 'a%2fb/0/1', 'a/0'])('of %s is no address', async (path) => {
    expect((await spanOf(path)).status).toBe(404)
  })
})
