// What the host does for one window goes on to its end, whatever others send to it, and whatever else in
// its process fails.

import { describe, expect, it, vi } from 'vitest'
import { ATTACKS } from './attacks.ts'
import { type ServedHost, serveHost } from './served-host.ts'

/** Builds the demo, which imports takes, renders a bounce and writes history, while `meanwhile` happens again and again. */
async function buildDemoWhile(
  served: ServedHost,
  meanwhile: (round: number) => Promise<void>,
): Promise<void> {
  const window = await served.openWindow()
  let isUnderWay = false
  let isOver = false
  const demo = window.client
    .buildDemo({}, { onProgress: () => (isUnderWay = true) })
    .finally(() => (isOver = true))
  await vi.waitFor(() => expect(isUnderWay).toBe(true), 60_000)
  for (let round = 0; round === 0 || !isOver; round++) await meanwhile(round)
  const { sessions } = await demo
  // By what another window sees of it.
  const other = await served.openWindow()
  expect(await other.client.openSession({ id: sessions[0] })).toMatchObject({ session: { id: sessions[0] } })
  expect(await served.isWell()).toBe(true)
}

describe('a call that is running', { timeout: 300_000 }, () => {
  it('is not disturbed by attacks on its host', async () => {
    const served = await serveHost()
    try {
      await buildDemoWhile(served, async () => {
        for (const attack of Object.values(ATTACKS)) await attack(served)
      })
      expect(served.said()).not.toMatch(/\n\s+at /)
    } finally {
      expect(await served.end()).toBe(0)
    }
  })

  it.skipIf(process.platform === 'win32')('is not disturbed by an error that nothing catches', async () => {
    // From outside, because nothing that is sent to it makes it fail.
    const failOnSignal = "process.on('SIGUSR2', () => { throw new Error('from outside') })"
    const served = await serveHost(['--import', `data:text/javascript,${encodeURIComponent(failOnSignal)}`])
    try {
      await buildDemoWhile(served, async (round) => {
        if (round === 0) served.signal('SIGUSR2')
        await vi.waitFor(() => expect(served.said()).toContain('Error: from outside'), 20_000)
        await new Promise((resolve) => setTimeout(resolve, 100))
      })
    } finally {
      expect(await served.end()).toBe(0)
    }
  })
})
