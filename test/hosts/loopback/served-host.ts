// `takeloft serve` as a process of its own, so that what brings it down is seen, and what it holds measured.

import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { WebSocket } from 'ws'
import { type Connection, connect } from '../../../app/contract/wire/connect.ts'
import { PAGE_KEY_HEADER } from '../../../app/contract/wire/page-key.ts'
import type { Message } from '../../../app/contract/wire/port.ts'
import { buildWindowIfNeeded } from '../../../app/scripts/build-window.ts'
import { LAUNCHER, PINNED_NODE } from '../run-takeloft.ts'
import { askHost, type HostAnswer, type Question } from './ask-host.ts'
import { openKeys } from './open-host.ts'

export interface ServedHost {
  readonly folder: string
  readonly port: number
  readonly origin: string
  readonly cookie: string
  /** What a window sends with everything. */
  readonly headers: Readonly<Record<string, string>>
  /** What it has said on standard error. */
  said(): string
  askFromWindow(question: Question): Promise<HostAnswer>
  /** As a window speaks: commands, progress, answers. */
  openWindow(): Promise<Connection & { close(): void }>
  /** Whether the page and the services answer a window that comes now. */
  isWell(): Promise<boolean>
  signal(name: NodeJS.Signals): void
  /** What the process holds in memory by the system's own count, bytes. */
  residentBytes(): number
  /** Ends it as Ctrl+C does; gives the exit status. */
  end(): Promise<number | null>
}

/** @param nodeOptions for the process, as on Node's command line */
export async function serveHost(nodeOptions: readonly string[] = []): Promise<ServedHost> {
  await buildWindowIfNeeded(() => {})
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-served-'))
  const words = ['serve', '--port', '0', '--catalogue', join(folder, 'catalogue.sqlite'), '--json']
  const child = spawn(PINNED_NODE, [...nodeOptions, LAUNCHER, ...words], {
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let said = ''
  child.stderr.on('data', (part: Buffer) => {
    said += part
  })
  const address = await addressOf(child, () => said)
  const { cookie, pageKey } = await openKeys(address)
  const { origin, port } = new URL(address)
  const headers = { cookie, origin, [PAGE_KEY_HEADER]: pageKey }
  const askFromWindow = ({ headers: more, ...question }: Question): Promise<HostAnswer> =>
    askHost(origin, { ...question, headers: { ...headers, ...more } })

  const openWindow = async (): Promise<Connection & { close(): void }> => {
    const socket = new WebSocket(`${origin.replace('http', 'ws')}/port`, { headers })
    await once(socket, 'open')
    const connection = connect({
      post: (message) => socket.send(JSON.stringify(message)),
      listen(hear, closed) {
        socket.on('message', (data: Buffer) => hear(JSON.parse(data.toString()) as Message))
        socket.on('error', () => {})
        socket.on('close', closed)
        return () => {}
      },
    })
    return { ...connection, close: () => socket.terminate() }
  }

  return {
    folder,
    port: Number(port),
    origin,
    cookie,
    headers,
    said: () => said,
    askFromWindow,
    openWindow,
    async isWell() {
      if (child.exitCode !== null || child.signalCode !== null) return false
      const { status } = await askFromWindow({ path: '/' })
      const window = await openWindow()
      const artists = await window.client.listArtists({})
      window.close()
      return status === 200 && Array.isArray(artists)
    },
    signal: (name) => void child.kill(name),
    residentBytes: () =>
      1024 * Number(execFileSync('ps', ['-o', 'rss=', '-p', String(child.pid)], { encoding: 'utf8' })),
    async end() {
      if (child.exitCode === null && child.signalCode === null) {
        const ended = once(child, 'exit')
        child.kill('SIGINT')
        await ended
      }
      rmSync(folder, { recursive: true, force: true })
      return child.exitCode
    },
  }
}

async function addressOf(child: ChildProcess, said: () => string): Promise<string> {
  let printed = ''
  for await (const part of child.stdout as AsyncIterable<Buffer>) {
    printed += part
    try {
      return (JSON.parse(printed) as { address: string }).address
    } catch {
      // The document is not whole yet.
    }
  }
  throw new Error(`it ended without an address: ${said()}`)
}
