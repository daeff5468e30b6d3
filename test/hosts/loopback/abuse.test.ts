// Nothing that is sent to the loopback host ends it, or what it is doing for somebody else.

import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ATTACKS, BAD_FRAMES, badRequests, sendFrames, type Target } from './attacks.ts'
import { sendRaw, statusOf } from './raw-socket.ts'
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

it('goes on with what it does for one window while it is attacked', async () => {
  const busy = await serveHost()
  try {
    const target: Target = busy
    const window = await busy.openWindow()
    let isDone = false
    const demo = window.client.buildDemo({}).finally(() => {
      isDone = true
    })
    let rounds = 0
    for (; rounds === 0 || !isDone; rounds++) {
      for (const attack of Object.values(ATTACKS)) await attack(target)
    }
    const { sessions } = await demo
    expect(sessions.length).toBeGreaterThan(0)
    // By what the window of another browser tab sees of it.
    const other = await busy.openWindow()
    expect(await other.client.openSession({ id: sessions[0] })).toMatchObject({
      session: { id: sessions[0] },
    })
    expect(await busy.isWell()).toBe(true)
  } finally {
    await busy.end()
  }
})
