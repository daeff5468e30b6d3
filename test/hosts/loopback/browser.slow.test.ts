// The loopback host and a real browser: the page that was let in goes on being let in, and pages from
// elsewhere that are open beside it get nothing, whatever they try.

import { once } from 'node:events'
import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { pathToFileURL } from 'node:url'
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
// Not by its own name, which the functions that run in a page mean the browser's by.
import { WebSocket as NodeSocket } from 'ws'
import { PAGE_KEY_ITEM } from '../../../app/contract/wire/page-key.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { openInBrowser } from '../../../app/hosts/loopback/open-in-browser.ts'
import { haveMaterial } from '../../require-tool.ts'
import { CHROMIUM } from '../../window/open-window.ts'
import { standInForBrowser } from './fake-browser.ts'
import { type OpenHost, openHost } from './open-host.ts'

/** Every way for a page to make its browser ask another server for something. */
const tries = async (origin: string): Promise<string[]> => {
  const open: string[] = []
  const socketOrigin = origin.replace('http', 'ws')
  const element = (name: string, attributes: Record<string, string>): Promise<void> =>
    new Promise((resolve) => {
      const made = Object.assign(document.createElement(name), attributes)
      made.onload = () => {
        // A frame loads whatever it gets, an error too.
        if (name !== 'iframe' && name !== 'object' && name !== 'embed') open.push(name)
        resolve()
      }
      made.onerror = () => resolve()
      document.body.append(made)
      setTimeout(resolve, 3_000)
    })
  const fetched = async (what: string, path: string, options: RequestInit): Promise<void> => {
    const answer = await fetch(`${origin}${path}`, options).catch(() => null)
    if (answer?.ok) open.push(what)
  }
  const socket = (path: string): Promise<void> =>
    new Promise((resolve) => {
      const made = new WebSocket(`${socketOrigin}${path}`)
      made.onopen = () => {
        open.push(`WebSocket ${path}`)
        resolve()
      }
      made.onerror = () => resolve()
    })
  const posted = (path: string): Promise<void> =>
    new Promise((resolve) => {
      const frame = document.createElement('iframe')
      frame.name = `frame${path}`
      frame.onload = () => resolve()
      document.body.append(frame)
      const form = Object.assign(document.createElement('form'), {
        method: 'POST',
        action: `${origin}${path}`,
        target: frame.name,
      })
      document.body.append(form)
      form.submit()
      setTimeout(resolve, 3_000)
    })
  for (const path of ['/', '/icon.svg', '/peaks/1', '/playback/a/0/10']) {
    await fetched(`fetch ${path}`, path, { mode: 'no-cors', credentials: 'include' })
    await fetched(`cors ${path}`, path, { credentials: 'include' })
    await fetched(`HEAD ${path}`, path, { method: 'HEAD', mode: 'no-cors', credentials: 'include' })
  }
  const body = new Blob(['x'])
  await fetched('POST', '/incoming/a.wav', { method: 'POST', mode: 'no-cors', credentials: 'include', body })
  await fetched('PUT', '/incoming/b.wav', { method: 'PUT', credentials: 'include', body })
  navigator.sendBeacon(`${origin}/incoming/c.wav`, body)
  await posted('/incoming/d.wav')
  await Promise.all([
    element('img', { src: `${origin}/icon.svg` }),
    element('script', { src: `${origin}/` }),
    element('link', { rel: 'stylesheet', href: `${origin}/` }),
    element('link', { rel: 'modulepreload', href: `${origin}/` }),
    element('iframe', { src: `${origin}/` }),
    element('object', { data: `${origin}/icon.svg` }),
    element('embed', { src: `${origin}/icon.svg` }),
    element('audio', { src: `${origin}/playback/a/0/10` }),
    socket('/port'),
    socket('/'),
  ])
  return open
}

describe.skipIf(!haveMaterial(CHROMIUM))('in a browser', () => {
  let host: OpenHost
  let browser: Browser
  let context: BrowserContext
  let page: Page
  /** Serves a page of nothing under every name of this machine, and keeps what it was sent. */
  let foreign: Server
  const sent: string[] = []

  beforeAll(async () => {
    host = await openHost()
    browser = await chromium.launch({
      executablePath: CHROMIUM,
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-background-networking',
        '--disable-component-update',
      ],
    })
    foreign = createServer((request, response) => {
      sent.push(request.headers.cookie ?? '')
      response.writeHead(200, { 'content-type': 'text/html' }).end('<!doctype html><title>Elsewhere</title>')
    }).listen(0)
    await once(foreign, 'listening')
  })
  afterAll(async () => {
    await browser.close()
    await host.close()
    foreign.close()
    foreign.closeAllConnections()
  })
  beforeEach(async () => {
    context = await browser.newContext()
    page = await context.newPage()
  })
  afterEach(() => context.close())

  /** With the session that is open already, as that browser has it. */
  const openWindow = async (): Promise<void> => {
    const [name, value] = host.cookie.split('=')
    const cookie = {
      name,
      value,
      domain: '127.0.0.1',
      path: '/',
      httpOnly: true,
      sameSite: 'Strict' as const,
    }
    await context.addCookies([cookie])
    const stored = { origin: host.origin, item: PAGE_KEY_ITEM, key: host.pageKey }
    await context.addInitScript(({ origin, item, key }) => {
      if (window.location.origin === origin) localStorage.setItem(item, key)
    }, stored)
    await page.goto(`${host.origin}/`)
    await seesWindow(page)
  }
  const foreignOrigin = (name: string): string => `http://${name}:${(foreign.address() as AddressInfo).port}`

  describe.each(['127.0.0.1', 'localhost'])('a page of another server on %s', (name) => {
    it('gets nothing, whatever it tries, while a window is open', async () => {
      await openWindow()
      const answers: [string, number][] = []
      const other = await context.newPage()
      await other.goto(foreignOrigin(name))
      context.on('response', (response) => {
        if (response.url().startsWith(foreignOrigin(name))) return
        answers.push([`${response.request().method()} ${response.url()}`, response.status()])
      })
      for (const origin of [host.origin, `http://localhost:${host.port}`]) {
        expect(await other.evaluate(tries, origin)).toEqual([])
      }
      expect(answers.length).toBeGreaterThan(20)
      expect(answers.filter(([, status]) => status < 400 || status === 422)).toEqual([])
      expect(host.workplace.catalogue.ledger.list({ limit: 1 })).toEqual([])
      // The window beside it has noticed nothing.
      await page.reload()
      await seesWindow(page)
    })

    it('opens no window, neither by a link nor by a script', async () => {
      await openWindow()
      const other = await context.newPage()
      await other.goto(foreignOrigin(name))
      const opening = context.waitForEvent('page')
      await other.evaluate((origin) => void window.open(origin), host.origin)
      const opened = await opening
      await opened.getByText(/^Another site may not open Takeloft/).waitFor()
      await other.evaluate((origin) => {
        window.location.href = origin
      }, host.origin)
      await other.getByText(/^Another site may not open Takeloft/).waitFor()
    })
  })

  it('another server on this machine is sent the cookie, which is why the cookie alone opens nothing', async () => {
    await openWindow()
    sent.length = 0
    await (await context.newPage()).goto(foreignOrigin('127.0.0.1'))
    expect(sent).toContain(host.cookie)
    // What that server can do with it, from outside of the browser: first the page, then all else.
    const headers = { cookie: host.cookie, origin: host.origin, 'sec-fetch-site': 'same-origin' }
    expect((await host.ask({ path: '/', headers })).body.toString()).not.toContain(host.pageKey)
    expect((await host.ask({ path: '/peaks/1', headers })).status).toBe(403)
    const socket = new NodeSocket(`${host.origin.replace('http', 'ws')}/port`, { headers })
    const [error] = (await once(socket, 'error')) as [Error]
    expect(error.message).toBe('Unexpected server response: 403')
  })

  it('a browser that has lost what it stored is asked for a fresh address, which opens the window again', async () => {
    const logged: string[] = []
    const { address, close } = await startLoopbackHost(host.workplace, {
      port: 0,
      log: (message) => logged.push(message),
    })
    await page.goto(address)
    await seesWindow(page)
    await page.evaluate(() => localStorage.clear())
    await page.reload()
    await page.getByText(/^Open the last address that Takeloft printed/).waitFor()
    expect(logged).toHaveLength(1)
    await page.goto(/http:\S+$/.exec(logged[0])![0])
    await seesWindow(page)
    // A key that the host never gave is as good as none.
    await page.evaluate((item) => localStorage.setItem(item, 'x'), PAGE_KEY_ITEM)
    await page.reload()
    await page.getByText(/^Open the last address that Takeloft printed/).waitFor()
    expect(logged).toHaveLength(2)
    await page.close()
    await close()
  })

  it('a window lives through reloads, a second tab and the address opened again', async () => {
    const { address, close } = await startLoopbackHost(host.workplace, { port: 0, log: () => {} })
    const { origin } = new URL(address)
    await page.goto(address)
    await seesWindow(page)
    expect(page.url()).toBe(`${origin}/`)
    await page.reload()
    await seesWindow(page)
    await page.evaluate(() => window.location.reload())
    await seesWindow(page)
    const second = await context.newPage()
    for (const again of [`${origin}/`, address, `${address}&capture`]) {
      await second.goto(again)
      await seesWindow(second)
      expect(second.url()).not.toContain('token')
    }
    await second.goto('about:blank')
    await second.goBack()
    await seesWindow(second)
    const opening = context.waitForEvent('page')
    await page.evaluate(() => void window.open('/'))
    await seesWindow(await opening)

    const otherBrowser = await (await browser.newContext()).newPage()
    await otherBrowser.goto(address)
    await otherBrowser.getByText(/has been used.*the last one that Takeloft printed/).waitFor()
    await otherBrowser.context().close()
    await page.goto('about:blank')
    await close()
  })

  it('two hosts are open beside each other, each with its own window', async () => {
    const other = await startLoopbackHost(host.workplace, { port: 0, log: () => {} })
    await openWindow()
    const second = await context.newPage()
    await second.goto(other.address)
    await seesWindow(second)
    await page.reload()
    await seesWindow(page)
    await second.close()
    await other.close()
  })

  it.skipIf(process.platform !== 'linux')('the file that opens the browser leads to the window', async () => {
    const { address, close } = await startLoopbackHost(host.workplace, { port: 0, log: () => {} })
    const started = standInForBrowser()
    await openInBrowser(address)
    const { opened } = await started()
    await page.goto(pathToFileURL(opened).href)
    await seesWindow(page)
    expect(page.url()).toBe(`${new URL(address).origin}/`)
    await page.reload()
    await seesWindow(page)
    await page.close()
    await close()
  })
})

/** The page is there, and its services have answered: an empty catalogue is offered a start. */
const seesWindow = (page: Page): Promise<void> =>
  page.getByRole('button', { name: 'New artist and session' }).waitFor()
