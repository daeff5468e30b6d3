// What the loopback host answers a window that has been let in: its files, isolated, and nothing outside
// of its folder; which methods there are; spans of playback.

import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type OpenHost, openHost } from './open-host.ts'

let host: OpenHost
beforeAll(async () => {
  host = await openHost()
})
afterAll(() => host.close())

describe('an answer', () => {
  it('of the window brings isolation and a policy that lets in nothing from elsewhere', async () => {
    const { headers, body } = await host.askFromWindow({ path: '/' })
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
    const { status, headers } = await host.askFromWindow({ path: '/peaks/1' })
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
    expect((await host.askFromWindow({ path })).status).toBe(404)
  })

  it.each(['TRACE', 'POST', 'DELETE', 'OPTIONS', 'PATCH', 'PROPFIND'])(
    'to %s is that there is no such method, with a session and without',
    async (method) => {
      for (const answer of [
        await host.askFromWindow({ method, path: '/' }),
        await host.ask({ method, path: '/' }),
      ]) {
        expect([answer.status, answer.headers.allow]).toEqual([405, 'GET, HEAD, PUT'])
      }
    },
  )

  it.each(['/', '/index.html', '/peaks/1', '/playback/a/0/10', '/incoming/', '/incoming/a/b', '/port'])(
    'to a PUT of %s is that it takes nothing',
    async (path) => {
      const { status, headers } = await host.askFromWindow({ method: 'PUT', path, body: 'x' })
      expect([status, headers.allow]).toEqual([405, 'GET, HEAD'])
    },
  )

  it.each(['/', '/no-such-file.js', '/peaks/1', '/playback/a/0/10'])(
    'to a HEAD of %s is what a GET says, without the contents',
    async (path) => {
      const [got, head] = [
        await host.askFromWindow({ path }),
        await host.askFromWindow({ method: 'HEAD', path }),
      ]
      expect(got.body.length).toBeGreaterThan(0)
      expect(head.body).toHaveLength(0)
      const { date: _, 'transfer-encoding': __, ...said } = got.headers
      expect(head).toMatchObject({ status: got.status, headers: said })
    },
  )

  it('to a GET with contents is that it has none', async () => {
    expect(
      (await host.askFromWindow({ path: '/', body: 'x', headers: { 'content-length': '1' } })).status,
    ).toBe(400)
  })

  it('never ended in an error of ours', () => {
    expect(host.logged).toEqual([])
  })
})

describe('a span of playback', () => {
  const spanOf = async (path: string) => {
    const { status, body } = await host.askFromWindow({ path: `/playback/${path}` })
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
