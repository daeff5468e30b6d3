// What the player leaves open: one playback, whatever was begun and overtaken on the way to it.

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { Failure } from '../../../app/contract/failure.ts'
import type { OpenedPlayback, PlaybackSource } from '../../../app/contract/playback.ts'

/** The services as far as the player asks them; openings are answered when the test says so. */
const services = vi.hoisted(() => ({
  open: new Set<string>(),
  count: 0,
  /** Openings that wait for their answer. */
  waiting: [] as (() => void)[],
  tuned: [] as string[],
}))

vi.hoisted(() => {
  vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => {}, removeItem: () => {} })
  vi.stubGlobal('window', { location: { search: '' }, setInterval, setTimeout })
  vi.stubGlobal('requestAnimationFrame', () => 0)
  vi.stubGlobal('cancelAnimationFrame', () => {})
})

vi.mock('../../../renderer/state/connection.ts', () => ({
  on: () => () => {},
  client: {
    openPlayback: () =>
      new Promise<OpenedPlayback>((resolve) => {
        services.waiting.push(() => {
          const playbackId = `playback ${++services.count}`
          services.open.add(playbackId)
          resolve({ playbackId, sampleRateHz: 48_000, startFrame: 0, frames: 48_000 })
        })
      }),
    async tunePlayback({ playbackId }: { playbackId: string }): Promise<OpenedPlayback> {
      if (!services.open.has(playbackId)) throw new Failure('not-found', 'This playback has been closed.')
      services.tuned.push(playbackId)
      return { playbackId, sampleRateHz: 48_000, startFrame: 0, frames: 48_000 }
    },
    async closePlayback({ playbackId }: { playbackId: string }) {
      services.open.delete(playbackId)
      return {}
    },
    matchPlayback: async () => ({ differenceLu: 0, dryDb: 0, processedDb: 0, activeSeconds: 1 }),
  },
}))

vi.mock('../../../renderer/playback/audio-output.ts', async () => {
  const { createRing, createRingWriter } = await import('../../../renderer/playback/ring.ts')
  return {
    async openAudioOutput(sampleRateHz: number) {
      const ring = createRing(sampleRateHz)
      return {
        sampleRateHz,
        ring,
        writer: createRingWriter(ring, sampleRateHz),
        latencySeconds: () => 0,
        ready: async () => {},
        start: () => {},
        stop: async () => {},
        close: async () => {},
      }
    },
  }
})

vi.mock('../../../renderer/playback/playback-span.ts', () => ({
  fetchPlaybackSpan: async (_id: string, _from: number, frames: number) => new Float32Array(4 * frames),
}))

const { player, readPlayer } = await import('../../../renderer/playback/player.ts')
const { shownNotices } = await import('../../../renderer/state/notices.ts')

const take = (takeId: number): PlaybackSource => ({
  target: { kind: 'take', takeId, sampleRateHz: 48_000 },
  draft: null,
})
/** Answers every opening that waits, oldest first, until none comes any more. */
async function answerAll(): Promise<void> {
  for (let quiet = 0; quiet < 3; quiet++) {
    await new Promise((resolve) => setTimeout(resolve, 1))
    if (services.waiting.length > 0) quiet = 0
    for (const answer of services.waiting.splice(0)) answer()
  }
}

describe('the player leaves open', () => {
  beforeEach(async () => {
    const playing = player.play(take(1))
    await answerAll()
    await playing
    expect(readPlayer().status).toBe('playing')
  })
  afterEach(() => player.stop())
  const isOneLeft = (): void => expect([...services.open]).toEqual([readPlayer().opened?.playbackId])

  it('only the last of what was begun in quick succession', async () => {
    const begun: Promise<void>[] = []
    for (const id of [2, 3, 4]) {
      begun.push(player.play(take(id)))
      // Long enough for it to ask, not for an answer.
      await new Promise((resolve) => setTimeout(resolve, 1))
    }
    expect(services.waiting).toHaveLength(3)
    await answerAll()
    await Promise.all(begun)
    expect(readPlayer().source?.target).toMatchObject({ takeId: 4 })
    isOneLeft()
  })

  it('nothing that was stopped before it was there', async () => {
    const begun = player.play(take(2))
    await new Promise((resolve) => setTimeout(resolve, 1))
    await player.stop()
    await answerAll()
    await begun
    expect(readPlayer().status).toBe('stopped')
    expect([...services.open]).toEqual([])
  })

  it('the same one where only its settings change', async () => {
    const { opened } = readPlayer()
    await player.play(take(1))
    expect(readPlayer().opened).toEqual(opened)
    expect(services.tuned.at(-1)).toBe(opened?.playbackId)
    isOneLeft()
  })

  it('a new one where the services have lost it', async () => {
    services.open.clear()
    const begun = player.play(take(1))
    await answerAll()
    await begun
    expect(readPlayer().status).toBe('playing')
    expect(shownNotices.getState().notices).toEqual([])
    isOneLeft()
  })
})
