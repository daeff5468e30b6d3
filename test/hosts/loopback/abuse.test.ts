// Nothing that is sent to the loopback host ends it.

import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ATTACKS, BAD_FRAMES, badRequests, DEEP_MESSAGES, sendFrames } from './attacks.ts'
import { sendRaw, statusOf, TEXT } from './raw-socket.ts'
import { type ServedHost, serveHost } from './served-host.ts'

let served: ServedHost
beforeAll(async () => {
  served = await serveHost()
})
afterAll(() => served.end())

describe('the host that is served', () => {
  it.each(BAD_FRAMES)(
    'closes a WebSocket whose frame %s with %i, and nothing else',
    async (_what, status, frames) => {
      const window = await served.openWindow()
      expect(await sendFrames(served, frames)).toBe(status)
      expect(await window.client.listArtists({})).toEqual([])
      window.close()
      expect(await served.isWell()).toBe(true)
    },
  )

  it.each(DEEP_MESSAGES)(
    'closes a WebSocket that sends %s with 1008, and builds none of it',
    async (_what, text) => {
      const before = served.residentBytes()
      const frames = Array.from({ length: 10 }, () => ({ opcode: TEXT, payload: Buffer.from(text) }))
      expect(await sendFrames(served, frames)).toBe(1008)
      expect(await served.isWell()).toBe(true)
      // Ten messages of 16 MB as they lie on the wire, and what the collector has not got to.
      expect(served.residentBytes() - before).toBeLessThan(500e6)
    },
  )

  const names = badRequests({ port: 0, headers: {} }).map(([what, status], k) => [what, status, k] as const)
  it.each(names)('answers what %s with %i', async (_what, status, k) => {
    expect(statusOf(await sendRaw(served.port, badRequests(served)[k][2]))).toBe(status)
    expect(await served.isWell()).toBe(true)
  })

  it.each(Object.keys(ATTACKS))('outlives %s', async (name) => {
    await ATTACKS[name](served)
    expect(await served.isWell()).toBe(true)
  })

  it('never had an error of its own', () => {
    expect(served.said()).not.toMatch(/\n\s+at /)
  })
})
