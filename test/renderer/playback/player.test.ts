// What the player leaves open: one playback, whatever was begun and overtaken on the way to it.

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { Failure } from '../../../app/contract/failure.ts'
import type { OpenedPlayback, PlaybackSource } from '../../../app/contract/playback.ts'

/** The services as far as the player asks them; openings are answered when the test says so. */
const services = vi.hoisted(() => ({
  open: new Set<string>(),
  count: 0,
  /** Openings that wait for their answer. */
  waiting: [] as (() => void)[],
  tuned: [] as string[],
  solos: [] as unknown[],
  /** Whether the output is gone, and how many were opened. */
  isLost: false,
  outputs: 0,
  /** Control words of the ring that is played. */
  words: null as Int32Array | null,
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
    async tunePlayback({
      playbackId,
      source,
    }: {
      playbackId: string
      source: PlaybackSource
    }): Promise<OpenedPlayback> {
      services.solos.push(source.solo)
      if (!services.open.has(playbackId)) throw new Failure('not-found', 'This playback has been closed.')
      services.tuned.push(playbackId)
      return { playbackId, sampleRateHz: 48_000, startFrame: 0, frames: 48_000 }
    },
    async closePlayback({ playbackId }: { playbackId: string }) {
      services.open.delete(playbackId)
      return {}
    },
    matchPlayback: async () => ({
      differenceLu: 0,
      dryDb: 0,
      processedDb: 0,
      changeDb: null,
      activeSeconds: 1,
    }),
  },
}))

vi.mock('../../../renderer/playback/audio-output.ts', async () => {
  const { createRing, createRingWriter } = await import('../../../renderer/playback/ring.ts')
  return {
    async openAudioOutput(sampleRateHz: number) {
      const ring = createRing(sampleRateHz)
      services.words = ring.words
      services.outputs++
      services.isLost = false
      return {
        sampleRateHz,
        ring,
        writer: createRingWriter(ring, sampleRateHz),
        latencySeconds: () => 0,
        ready: async () => {},
        start: () => {},
        isLost: () => services.isLost,
        stop: async () => {},
        close: async () => {},
      }
    },
  }
})

vi.mock('../../../renderer/playback/playback-span.ts', () => ({
  fetchPlaybackSpan: async (_id: string, _from: number, frames: number) => new Float32Array(4 * frames),
}))

const { player, playheadFrame, readPlayer } = await import('../../../renderer/playback/player.ts')
const { goTo, selectSession, setLoop } = await import('../../../renderer/state/selection.ts')
const { clearSolo, toggleSolo } = await import('../../../renderer/state/solo.ts')
const { queryClient } = await import('../../../renderer/state/query-client.ts')
const { sessionContentsQuery } = await import('../../../renderer/state/queries.ts')
const { dismissFailures, shownNotices } = await import('../../../renderer/state/notices.ts')

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
    await player.stop()
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
    await player.stop()
    const begun = player.play(take(2))
    await new Promise((resolve) => setTimeout(resolve, 1))
    await player.stop()
    await answerAll()
    await begun
    expect(readPlayer().status).toBe('stopped')
    expect([...services.open]).toEqual([])
  })

  it('no output that takes no sound any more: it stops, says so, and the next play opens another', async () => {
    const { outputs } = services
    services.isLost = true
    await expect.poll(() => readPlayer().status).toBe('stopped')
    expect(shownNotices.getState().notices.at(-1)?.sentences[0]).toMatch(/^The sound output takes no sound/)
    dismissFailures()
    const playing = player.play(take(1))
    await answerAll()
    await playing
    expect(readPlayer().status).toBe('playing')
    expect(services.outputs).toBe(outputs + 1)
    isOneLeft()
  })

  it('the same one where something else is chosen while it plays', async () => {
    const { opened } = readPlayer()
    await player.play(take(2))
    expect(readPlayer()).toMatchObject({ status: 'playing', source: take(2), opened })
    expect(services.waiting).toHaveLength(0)
    isOneLeft()
  })

  it('none of a session that is no longer open, nor its dropouts and its playhead', async () => {
    player.seek(24_000)
    selectSession(8)
    expect(playheadFrame()).toBe(0)
    expect(readPlayer()).toMatchObject({ source: null, opened: null, underruns: 0 })
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

describe('what is heard goes on from the same place', () => {
  const stack: PlaybackSource = { target: { kind: 'stack', sessionId: 7 }, draft: null }
  const group: PlaybackSource = { target: { kind: 'group', groupId: 1 }, draft: null }

  beforeEach(() => {
    selectSession(7)
    queryClient.setQueryData(sessionContentsQuery(7).queryKey, {
      session: { id: 7 },
      layers: [
        { id: 1, groupId: 1, takeId: 1, offsetSamples: 4800 },
        { id: 2, groupId: 2, takeId: 2, offsetSamples: 0 },
      ],
    } as unknown as SessionContents)
  })
  afterEach(async () => {
    await player.stop()
    clearSolo()
    selectSession(null)
  })
  const startAt = async (source: PlaybackSource, frame: number): Promise<void> => {
    const playing = player.play(source, frame)
    await answerAll()
    await playing
  }
  /** Reads the ring up to where a change takes effect, 20 ms on. */
  const expectAt = (frame: number): void => {
    Atomics.add(services.words!, 0, 0.02 * 48_000)
    expect(Math.abs(playheadFrame() - frame)).toBeLessThanOrEqual(3 * 0.02 * 48_000)
  }

  it('from the stack to a group, and to a take at the place of its layer', async () => {
    await startAt(stack, 24_000)
    await player.play(group)
    expect(readPlayer().status).toBe('playing')
    expectAt(24_000)
    await player.play(take(1))
    expectAt(24_000 - 4800)
    await player.play(stack)
    expectAt(24_000)
  })

  it('also after a stop, except for a take, which begins at its start', async () => {
    await startAt(stack, 24_000)
    await player.stop()
    const playing = player.play(group)
    await answerAll()
    await playing
    expectAt(24_000)
    await player.stop()
    const again = player.play(take(1))
    await answerAll()
    await again
    expectAt(0)
  })

  it('inside the loop, or from its start', async () => {
    setLoop({ fromFrame: 10_000, toFrame: 40_000 })
    await startAt(stack, 24_000)
    await player.play(group)
    expectAt(24_000)
    setLoop(null)
  })

  it('for a take in Chain inside the loop, which lies where its layer has it; elsewhere from its start', async () => {
    setLoop({ fromFrame: 14_800, toFrame: 40_000 })
    goTo('chain')
    await startAt(take(1), 2000)
    // Session frame 14 800 is frame 10 000 of the take, whose layer lies at 4800.
    expectAt(10_000)
    await player.stop()
    goTo('intake')
    await startAt(take(1), 2000)
    expectAt(2000)
    setLoop(null)
  })

  it('when a layer is soloed, which no more than the sounding layers are asked for', async () => {
    await startAt(stack, 24_000)
    toggleSolo('group', [2], false)
    await new Promise((resolve) => setTimeout(resolve, 5))
    expect(services.solos.at(-1)).toEqual([2])
    expect(readPlayer().status).toBe('playing')
    expectAt(24_000)
    clearSolo()
    await new Promise((resolve) => setTimeout(resolve, 5))
    expect(services.solos.at(-1)).toBeNull()
  })
})
