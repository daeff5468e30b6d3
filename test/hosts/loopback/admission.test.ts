// Who is let in by the loopback host: which addresses, cookies, hosts, origins and sites.

import { createHash } from 'node:crypto'
import { once } from 'node:events'
import { connect } from 'node:net'
import { networkInterfaces } from 'node:os'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { WebSocket } from 'ws'
import { PAGE_KEY_HEADER, PORT_PROTOCOL, WITHOUT_KEY_PAGE } from '../../../app/contract/wire/page-key.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { askHost, type HostAnswer, type Question } from './ask-host.ts'
import { type OpenHost, openHost, openSession } from './open-host.ts'

let host: OpenHost
beforeAll(async () => {
  host = await openHost()
})
afterAll(() => host.close())

/** A second one, whose first address nobody has used yet. */
async function openSecond(): Promise<{ address: string; logged: string[]; close(): Promise<void> }> {
  const logged: string[] = []
  const { address, close } = await startLoopbackHost(host.workplace, {
    port: 0,
    log: (message) => logged.push(message),
  })
  return { address, logged, close }
}

/** What a browser says of a request, by who made it (W3C Fetch Metadata Request Headers). */
const VISIT = { 'sec-fetch-site': 'none', 'sec-fetch-mode': 'navigate', 'sec-fetch-dest': 'document' }
const LINK = { ...VISIT, 'sec-fetch-site': 'cross-site' }
const PICTURE = { 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'no-cors', 'sec-fetch-dest': 'image' }

const open = (address: string, headers: Record<string, string> = {}): Promise<HostAnswer> => {
  const { pathname, search } = new URL(address)
  return askHost(address, { path: pathname + search, headers })
}

describe('the address that the host prints', () => {
  it('is on 127.0.0.1 and holds a token of 24 random bytes, another one with each start', async () => {
    const seconds = [await openSecond(), await openSecond()]
    const tokens = seconds.map(({ address }) => {
      const { hostname, searchParams } = new URL(address)
      expect(hostname).toBe('127.0.0.1')
      return searchParams.get('token')!
    })
    for (const token of tokens) expect(Buffer.from(token, 'base64url')).toHaveLength(24)
    expect(tokens[0]).not.toBe(tokens[1])
    for (const { close } of seconds) await close()
  })

  it('is refused, in a sentence, where another program has the port', async () => {
    const { port } = host
    await expect(startLoopbackHost(host.workplace, { port, log: () => {} })).rejects.toMatchObject({
      code: 'conflict',
      message: `Port ${port} is taken by another program, perhaps another Takeloft; choose another, or none for any free one.`,
    })
  })

  it('gives a cookie that scripts and other sites never get, and leaves the address bar', async () => {
    const { address, close } = await openSecond()
    const { status, headers, body } = await open(`${address}&capture`)
    expect(status).toBe(200)
    expect(headers).toMatchObject({ 'cache-control': 'no-store', 'referrer-policy': 'no-referrer' })
    expect(body.toString()).toMatch(/ data-page="\/\?capture=?"/)
    expect(headers['set-cookie']).toEqual([
      expect.stringMatching(
        new RegExp(`^takeloft-${new URL(address).port}=[\\w-]{32}; HttpOnly; SameSite=Strict; Path=/$`),
      ),
    ])
    expect(headers['set-cookie']![0]).not.toContain(new URL(address).searchParams.get('token'))
    await close()
  })

  it('lets one browser in and no second one, which is told what to do', async () => {
    const { address, logged, close } = await openSecond()
    const cookie = await openSession(address)
    const again = await open(address, VISIT)
    expect(again.status).toBe(403)
    expect(again.headers['set-cookie']).toBeUndefined()
    expect(again.body.toString()).toMatch(/has been used.*the last one that Takeloft printed/)
    // The one whose address it is only comes back to its window.
    const back = await open(address, { ...VISIT, cookie })
    expect([back.status, back.headers.location, back.headers['set-cookie']]).toEqual([303, '/', undefined])

    expect(logged).toHaveLength(1)
    const fresh = /http:\S+$/.exec(logged[0])![0]
    expect(await openSession(fresh)).not.toBe(cookie)
    expect((await open(`${new URL(address).origin}/`, { ...VISIT, cookie })).status).toBe(200)
    await close()
  })

  it('is printed afresh once for all who ask in vain, and only after the one before was used', async () => {
    const { address, logged, close } = await openSecond()
    const { origin } = new URL(address)
    for (let i = 0; i < 5; i++) expect((await open(`${origin}/`, VISIT)).status).toBe(403)
    expect(logged).toEqual([])
    await openSession(address)
    for (let i = 0; i < 5; i++) expect((await open(`${origin}/`, VISIT)).status).toBe(403)
    // Neither a picture of another site, nor a file of the window, nor a link brings the person anything.
    expect(logged).toHaveLength(1)
    await openSession(/http:\S+$/.exec(logged[0])![0])
    for (const headers of [PICTURE, LINK]) expect((await open(`${origin}/`, headers)).status).toBe(403)
    expect((await open(`${origin}/icon.svg`, { origin })).status).toBe(403)
    expect(logged).toHaveLength(1)
    await close()
  })

  it('is not used up by what only looks: a HEAD, a picture, a frame, another site’s script', async () => {
    const { address, close } = await openSecond()
    const { pathname, search, origin } = new URL(address)
    const looks: Question[] = [
      { path: pathname + search, method: 'HEAD' },
      { path: pathname + search, headers: PICTURE },
      { path: pathname + search, headers: { ...LINK, 'sec-fetch-dest': 'iframe' } },
      { path: pathname + search, headers: { ...LINK, origin: 'http://rebound.example' } },
      { path: pathname + search, headers: { host: 'localhost' } },
      { path: `/index.html${search}`, headers: VISIT },
    ]
    for (const question of looks) expect((await askHost(origin, question)).status).toBe(403)
    const knock = new WebSocket(`${origin.replace('http', 'ws')}${pathname}${search}`, {
      headers: { origin },
    })
    await once(knock, 'error')
    expect((await open(address, VISIT)).status).toBe(200)
    await close()
  })

  it.each([
    ['a person', VISIT],
    ['a link or a file', LINK],
  ])(
    'opened by %s goes on by a page of the host’s own, which stores a key, another one each time',
    async (_who, how) => {
      const pageKeys: string[] = []
      for (let k = 0; k < 2; k++) {
        const { address, close } = await openSecond()
        const { status, headers, body } = await open(`${address}&"><script>`, how)
        expect(status).toBe(200)
        expect(headers['set-cookie']).toHaveLength(1)
        const text = body.toString()
        const script =
          /<script data-item="takeloft.page-key" data-key="([\w-]{32})" data-page="[^"<]*">([^<]*)<\/script>/
        const [, pageKey, code] = script.exec(text)!
        pageKeys.push(pageKey)
        expect(text.match(/<script/g)).toHaveLength(1)
        // Content Security Policy Level 3, 2.3.1: the hash of an inline script, base64.
        const hash = createHash('sha256').update(code).digest('base64')
        expect(headers['content-security-policy']).toBe(
          `default-src 'none'; script-src 'sha256-${hash}'; frame-ancestors 'none'`,
        )
        for (const secret of [pageKey, new URL(address).searchParams.get('token')!]) {
          expect(headers['set-cookie']![0]).not.toContain(secret)
        }
        expect(text).not.toContain('token')
        // Whoever comes after it with the cookie gets no key any more.
        const cookie = headers['set-cookie']![0].split(';')[0]
        const again = await open(address, { ...VISIT, cookie })
        expect([again.status, again.body.toString()]).toEqual([303, ''])
        await close()
      }
      expect(pageKeys[0]).not.toBe(pageKeys[1])
    },
  )

  it('answers on no other interface of this machine', async () => {
    const others = Object.values(networkInterfaces()).flatMap((all = []) =>
      all.filter(({ internal, family }) => !internal && family === 'IPv4').map(({ address }) => address),
    )
    for (const hostname of [...others, '::1', '127.0.0.2']) {
      const socket = connect(host.port, hostname)
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
    ['has an empty token', { path: '/?token=' }],
    ['has a wrong cookie', { path: '/', headers: { cookie: 'takeloft-1=x' } }],
    ['asks for a file without a session', { path: '/index.html' }],
    ['asks for peaks without a session', { path: '/peaks/1' }],
    ['sends no address', { path: '//' }],
  ])('%s is refused', async (_who, question) => {
    const { status, headers, body } = await host.ask(question)
    expect(status).toBe(403)
    expect(headers['set-cookie']).toBeUndefined()
    expect(body.toString()).toMatch(/^[A-Z].*\.\n$/)
  })

  it.each([
    ['localhost', 'localhost'],
    ['localhost with the port', () => `localhost:${host.port}`],
    ['another name for this machine', 'rebound.example'],
    ['the address without its port', '127.0.0.1'],
    ['another port', '127.0.0.1:1'],
  ])('comes by %s is refused in spite of the cookie', async (_name, name) => {
    const headers = { cookie: host.cookie, host: typeof name === 'string' ? name : name() }
    expect((await host.ask({ path: '/', headers })).status).toBe(403)
  })

  it.each(['http://rebound.example', 'https://127.0.0.1', 'null', 'http://127.0.0.1:1'])(
    'comes from %s is refused in spite of the cookie',
    async (foreign) => {
      const headers = { cookie: host.cookie, origin: foreign }
      expect((await host.ask({ path: '/', headers })).status).toBe(403)
      const put = { method: 'PUT', path: '/incoming/a.wav', headers, body: 'x' }
      expect((await host.ask(put)).status).toBe(403)
    },
  )

  it('would change something without saying where from is refused', async () => {
    const headers = { cookie: host.cookie, 'sec-fetch-site': 'same-origin' }
    for (const silent of [{ cookie: host.cookie }, headers]) {
      const put = { method: 'PUT', path: '/incoming/a.wav', headers: silent, body: 'x' }
      expect((await host.ask(put)).status).toBe(403)
    }
  })

  it.each<[string, string, Record<string, string>]>([
    ['a picture of another site', '/peaks/1', PICTURE],
    [
      'a picture of another server on this machine',
      '/peaks/1',
      { ...PICTURE, 'sec-fetch-site': 'same-site' },
    ],
    ['a script of another server', '/assets/x.js', { ...PICTURE, 'sec-fetch-dest': 'script' }],
    [
      'a frame of another server',
      '/',
      { ...LINK, 'sec-fetch-site': 'same-site', 'sec-fetch-dest': 'iframe' },
    ],
    ['a link of another server', '/', { ...LINK, 'sec-fetch-site': 'same-site' }],
    ['a link of another site', '/', LINK],
    ['a person who opens what is not the page', '/peaks/1', VISIT],
    ['somebody who does not say', '/peaks/1', {}],
  ])('is %s is refused in spite of the cookie', async (_who, path, headers) => {
    const { status, body } = await host.ask({ path, headers: { ...headers, cookie: host.cookie } })
    expect([status, body.toString()]).toEqual([403, expect.stringMatching(/^[A-Z].*\.\n$/)])
  })

  it.each<[string, string, Record<string, string>]>([
    ['a person who opens the page once more', '/', VISIT],
    ['the page that reloads itself', '/', { ...VISIT, 'sec-fetch-site': 'same-origin' }],
    ['the page that loads its files', '/icon.svg', { ...PICTURE, 'sec-fetch-site': 'same-origin' }],
  ])('is %s is let in with the cookie', async (_who, path, headers) => {
    expect((await host.ask({ path, headers: { ...headers, cookie: host.cookie } })).status).toBe(200)
  })

  it('has the cookie and the right origin is let in', async () => {
    expect((await host.askFromWindow({ path: '/' })).status).toBe(200)
  })

  it('has a cookie of that name from another server beside the right one is let in', async () => {
    const stray = `${host.cookie.split('=')[0]}=stray`
    for (const cookie of [`${stray}; ${host.cookie}`, `${host.cookie}; ${stray}`]) {
      expect((await host.askFromWindow({ path: '/', headers: { cookie } })).status).toBe(200)
    }
    expect((await host.askFromWindow({ path: '/', headers: { cookie: stray } })).status).toBe(403)
  })
})

describe('the cookie alone, which every server on this machine is sent', () => {
  /** As another server sends it that has seen it: with whatever headers a window has. */
  const stolen = (): Record<string, string> => ({
    cookie: host.cookie,
    origin: host.origin,
    'sec-fetch-site': 'same-origin',
    'sec-fetch-mode': 'cors',
    'sec-fetch-dest': 'empty',
  })
  const KEYLESS = 'Only a page of the window itself may ask for this; open the window again.\n'

  it('gets the window’s files and no secret with them', async () => {
    for (const path of ['/', `/?token=x`, '/icon.svg']) {
      const { headers, body } = await host.ask({ path, headers: stolen() })
      expect(headers['set-cookie']).toBeUndefined()
      expect(JSON.stringify(headers) + body.toString()).not.toContain(host.pageKey)
    }
    expect((await host.ask({ path: '/', headers: stolen() })).status).toBe(200)
  })

  it.each<[string, Question]>([
    ['peaks', { path: '/peaks/1' }],
    ['a span of playback', { path: '/playback/a/0/10' }],
    ['a picture', { path: `/pictures/${'0'.repeat(64)}` }],
    ['whether there is a picture', { method: 'HEAD', path: `/pictures/${'0'.repeat(64)}` }],
    ['the way of the window’s messages', { path: '/port' }],
    ['to take a file in', { method: 'PUT', path: '/incoming/a.wav', body: 'x' }],
    ['to keep a picture', { method: 'PUT', path: '/pictures/a.png', body: 'x' }],
  ])('does not get %s', async (_what, question) => {
    const { status, body } = await host.ask({ ...question, headers: stolen() })
    expect([status, body.toString()]).toEqual([403, question.method === 'HEAD' ? '' : KEYLESS])
    for (const pageKey of ['', 'x', host.cookie.split('=')[1]]) {
      const headers = { ...stolen(), [PAGE_KEY_HEADER]: pageKey }
      expect((await host.ask({ ...question, headers })).status).toBe(403)
    }
    const { status: asWindow } = await host.askFromWindow(question)
    expect(asWindow).not.toBe(403)
  })

  it('gets a fresh address printed where Takeloft was started, if it says that it has no key', async () => {
    const { address, logged, close } = await openSecond()
    const cookie = await openSession(address)
    const { status, body } = await open(`${new URL(address).origin}${WITHOUT_KEY_PAGE}`, { ...VISIT, cookie })
    expect([status, body.toString()]).toEqual([
      403,
      expect.stringMatching(/^Open the last address that Takeloft /),
    ])
    expect(logged).toEqual([expect.stringMatching(/This address lets one in, once: http:/)])
    await close()
  })

  it('is no use to the key alone either', async () => {
    const headers = { origin: host.origin, [PAGE_KEY_HEADER]: host.pageKey }
    expect((await host.ask({ path: '/peaks/1', headers })).status).toBe(403)
  })
})

describe('two hosts', () => {
  it('never let anybody in with the session or the token of the other', async () => {
    const other = await openSecond()
    const { port, origin, searchParams } = new URL(other.address)
    const { status } = await host.ask({ path: `/?token=${searchParams.get('token')}` })
    expect(status).toBe(403)
    const otherCookie = await openSession(other.address)
    const secret = (cookie: string): string => cookie.split('=')[1]
    // As a browser sends them: both, to both; and as a thief would.
    const ownName = `takeloft-${host.port}`
    for (const cookie of [otherCookie, `${ownName}=${secret(otherCookie)}`]) {
      expect((await host.askFromWindow({ path: '/', headers: { cookie } })).status).toBe(403)
    }
    for (const cookie of [host.cookie, `takeloft-${port}=${secret(host.cookie)}`]) {
      expect((await askHost(origin, { path: '/', headers: { cookie, origin } })).status).toBe(403)
    }
    const both = `${host.cookie}; ${otherCookie}`
    expect((await host.askFromWindow({ path: '/', headers: { cookie: both } })).status).toBe(200)
    expect((await askHost(origin, { path: '/', headers: { cookie: both, origin } })).status).toBe(200)
    await other.close()
  })
})

describe('a WebSocket', () => {
  const knock = async (
    path: string,
    headers: Record<string, string>,
    protocols = [PORT_PROTOCOL, host.pageKey],
  ): Promise<string> => {
    const socket = new WebSocket(`${host.origin.replace('http', 'ws')}${path}`, protocols, { headers })
    const [what] = await Promise.race([
      once(socket, 'open').then(() => ['open']),
      once(socket, 'error').then(([error]) => [(error as Error).message]),
    ]).catch((error: Error) => [error.message])
    socket.terminate()
    return what
  }
  const own = () => ({ cookie: host.cookie, origin: host.origin })

  it('from the window is taken', async () => {
    expect(await knock('/port', own())).toBe('open')
  })

  it.each<[string, string, () => Record<string, string>]>([
    ['without an origin', '/port', () => ({ cookie: host.cookie })],
    ['from a foreign origin', '/port', () => ({ ...own(), origin: 'http://rebound.example' })],
    ['from another server on this machine', '/port', () => ({ ...own(), origin: 'http://127.0.0.1:1' })],
    ['without a cookie', '/port', () => ({ origin: host.origin })],
    ['by another host name', '/port', () => ({ ...own(), host: 'rebound.example' })],
    ['to another path', '/', own],
    [
      'with a key that is none in spite of a right one',
      '/port',
      () => ({ ...own(), [PAGE_KEY_HEADER]: 'x' }),
    ],
    ['to another path, with a token', '/?token=x', own],
  ])('%s is refused', async (_how, path, headers) => {
    expect(await knock(path, headers())).toBe('Unexpected server response: 403')
  })

  it.each<[string, () => string[]]>([
    ['no subprotocol', () => []],
    ['no key', () => [PORT_PROTOCOL]],
    ['an unknown key', () => [PORT_PROTOCOL, 'x']],
    ['the secret of the cookie as a key', () => [PORT_PROTOCOL, host.cookie.split('=')[1]]],
    ['another subprotocol before the key', () => ['x', host.pageKey]],
    ['the key after another', () => [PORT_PROTOCOL, 'x', host.pageKey]],
  ])('with the cookie and %s is refused', async (_how, protocols) => {
    expect(await knock('/port', own(), protocols())).toBe('Unexpected server response: 403')
  })
})
