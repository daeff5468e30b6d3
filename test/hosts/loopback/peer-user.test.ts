// What another user of the machine gets who has seen the secrets of a session or the token: nothing. Asked by curl, as that user.

import { execFile } from 'node:child_process'
import { existsSync, readdirSync } from 'node:fs'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startLoopbackHost } from '../../../app/hosts/loopback/loopback-host.ts'
import { hasTool } from '../../require-tool.ts'
import { type OpenHost, openHost, openSession } from './open-host.ts'
import { head } from './raw-socket.ts'

/** "nobody" on every Linux. */
const NOBODY = 65_534
/** Only root may ask as somebody else. */
const canAskAsAnother = process.platform === 'linux' && process.getuid?.() === 0 && hasTool('curl')
const canHangUp = canAskAsAnother && hasTool('python3')

const curl = async (uid: number, words: readonly string[]): Promise<number> => {
  const asked = ['-s', '-o', '/dev/null', '-w', '%{http_code}', '--max-time', '5', ...words]
  // A WebSocket that is taken stays open until the time is up, which curl calls an error.
  const { stdout } = await promisify(execFile)('curl', asked, { uid, gid: uid, cwd: '/' }).catch(
    (error: { stdout: string }) => error,
  )
  return Number(stdout)
}

describe.skipIf(!canAskAsAnother)('another user of the machine', () => {
  let host: OpenHost
  beforeAll(async () => {
    host = await openHost()
  })
  afterAll(() => host.close())

  it('opens nothing with the cookie and the key of a session', async () => {
    const own = Object.entries(host.headers).flatMap(([name, value]) => ['-H', `${name}: ${value}`])
    const words = [...own, `${host.origin}/icon.svg`]
    expect(await curl(0, words)).toBe(200)
    expect(await curl(NOBODY, words)).toBe(403)
    const knock = [
      'Connection: Upgrade',
      'Upgrade: websocket',
      'Sec-WebSocket-Version: 13',
      `Sec-WebSocket-Key: ${'A'.repeat(22)}==`,
    ]
    const socket = [...words.slice(0, -1), ...knock.flatMap((line) => ['-H', line]), `${host.origin}/port`]
    expect(await curl(0, socket)).toBe(101)
    expect(await curl(NOBODY, socket)).toBe(403)
  })

  it.skipIf(!canHangUp)('changes nothing by hanging up before it can be told who it was', async () => {
    const put = head('PUT /incoming/blind.wav HTTP/1.1', {
      Host: new URL(host.origin).host,
      ...host.headers,
      'Content-Length': '5',
    })
    // Each second connection ends in a reset: it lingers for no time (man 7 socket).
    const script = `
import socket, struct, sys
for i in range(100):
    s = socket.create_connection(('127.0.0.1', ${host.port}))
    s.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack('ii', i % 2, 0))
    s.sendall(sys.argv[1].encode())
    s.close()`
    const words = ['-c', script, `${put}sound`]
    await promisify(execFile)('python3', words, { uid: NOBODY, gid: NOBODY, cwd: '/' })
    // Answered after all of those, which came before it.
    await host.askFromWindow({ path: '/' })
    const { incoming } = host.workplace.folders
    expect(existsSync(incoming) ? readdirSync(incoming) : []).toEqual([])
  })

  it('opens nothing with the token, and does not use it up', async () => {
    const { address, close } = await startLoopbackHost(host.workplace, { port: 0, log: () => {} })
    expect(await curl(NOBODY, [address])).toBe(403)
    expect(await openSession(address)).toMatch(/^takeloft-/)
    await close()
  })
})
