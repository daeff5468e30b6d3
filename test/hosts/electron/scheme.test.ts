// The scheme that the window is loaded from: an origin of its own, answered by this process.

import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it, vi } from 'vitest'
import { answer, setUpDesktop, start } from './desktop.ts'
import { electron } from './fake-state.ts'

vi.mock('electron', () => import('./fake-electron.ts'))
const desktop = setUpDesktop()

describe('the scheme', () => {
  it('has an origin, storage, fetch and streams before Electron is ready', async () => {
    await start()
    expect(electron.schemes).toEqual([
      {
        scheme: 'takeloft',
        privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true },
      },
    ])
  })

  it('answers with the window, isolated, and with the same policy as the loopback host', async () => {
    await start()
    const { status, headers } = await answer('takeloft://window/')
    expect(status).toBe(200)
    expect(Object.fromEntries(headers)).toMatchObject({
      'content-type': 'text/html; charset=utf-8',
      'cross-origin-opener-policy': 'same-origin',
      'cross-origin-embedder-policy': 'require-corp',
      'content-security-policy': expect.stringMatching(/^default-src 'none'; script-src 'self';/),
    })
  })

  it('answers the sound routes', async () => {
    await start()
    const peaks = await answer('takeloft://window/peaks/1')
    expect([peaks.status, await peaks.json()]).toEqual([422, expect.objectContaining({ code: 'not-found' })])
    const stored = await answer('takeloft://window/incoming/a.wav', { method: 'PUT', body: 'sound' })
    const { path } = (await stored.json()) as { path: string }
    expect(readFileSync(path, 'utf8')).toBe('sound')
    expect(path.startsWith(join(desktop.folder, 'incoming'))).toBe(true)
  })

  it.each([
    'takeloft://elsewhere/index.html',
    'takeloft://window.example.org/index.html',
    'takeloft://window/..%2f..%2fpackage.json',
    'takeloft://window/%2e%2e/%2e%2e/package.json',
    'takeloft://window/%',
  ])('has nothing at %s', async (url) => {
    await start()
    expect((await answer(url)).status).toBe(404)
  })
})
