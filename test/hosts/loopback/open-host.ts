// A loopback host in this process, on a catalogue of its own, with a browser's session already open.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PAGE_KEY_HEADER } from '../../../app/contract/wire/page-key.ts'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { openWorkplace, type Workplace } from '../../../app/services/workplace.ts'
import { askHost, type HostAnswer, type Question } from './ask-host.ts'

export interface OpenHost {
  readonly workplace: Workplace
  readonly origin: string
  readonly port: number
  /** The session's, as a browser sends it back. */
  readonly cookie: string
  /** The key that the page of that session has stored. */
  readonly pageKey: string
  /** What the window sends with everything. */
  readonly headers: Readonly<Record<string, string>>
  /** What the host said to the person at the desk. */
  readonly logged: string[]
  ask(question: Question): Promise<HostAnswer>
  /** As the window asks: with the cookie, its origin and its key. */
  askFromWindow(question: Question): Promise<HostAnswer>
  close(): Promise<void>
}

export async function openHost(): Promise<OpenHost> {
  await buildWindowIfNeeded(() => {})
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-loopback-'))
  const workplace = openWorkplace(join(folder, 'catalogue.sqlite'))
  const logged: string[] = []
  const host = await startLoopbackHost(workplace, { port: 0, log: (message) => logged.push(message) })
  const { cookie, pageKey } = await openKeys(host.address)
  const { origin, port } = new URL(host.address)
  const own = { cookie, origin, [PAGE_KEY_HEADER]: pageKey }
  const ask = (question: Question): Promise<HostAnswer> => askHost(origin, question)
  return {
    workplace,
    origin,
    port: Number(port),
    cookie,
    pageKey,
    headers: own,
    logged,
    ask,
    askFromWindow: ({ headers, ...question }) => ask({ ...question, headers: { ...own, ...headers } }),
    async close() {
      await host.close()
      await workplace.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

/** Uses an address up, and gives the cookie that it brings, and the key that its page would store. */
export async function openKeys(address: string): Promise<{ cookie: string; pageKey: string }> {
  const { pathname, search } = new URL(address)
  const { status, headers, body } = await askHost(address, { path: pathname + search })
  if (status !== 200) throw new Error(`the address was answered with ${status}`)
  return {
    cookie: headers['set-cookie']![0].split(';')[0],
    pageKey: / data-key="([\w-]+)"/.exec(body.toString())![1],
  }
}

export const openSession = async (address: string): Promise<string> => (await openKeys(address)).cookie
