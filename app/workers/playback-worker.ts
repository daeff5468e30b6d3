// Entry point of the playback thread: answers spans at once, and runs the scout of each open playback
// between them.

import { parentPort } from 'node:worker_threads'
import { cancelledFailure, Failure } from '../contract/failure.ts'
import { takeHashesOf } from '../contract/passages/layer-takes.ts'
import { answerCalls, trustedMessage } from '../contract/wire/calls.ts'
import {
  createPlaybackEngine,
  type MatchResult,
  type PlaybackEngine,
} from '../engine/mixes/playback-engine.ts'
import type { RememberedState } from '../engine/mixes/remembered-states.ts'
import { openPlannedTake } from './open-planned-take.ts'
import {
  closedPlaybackFailure,
  type PlaybackAct,
  type PlaybackActs,
  type PlaybackSettings,
} from './playback-protocol.ts'
import { createThreadPort } from './thread-port.ts'

interface OpenPlayback {
  readonly engine: PlaybackEngine
  /** Which layers it renders, and how they are summed. */
  readonly material: string
  /** Whether the scout is running; it waits a while after a change, and stops at the end. */
  isScouting: boolean
  hasScouted: boolean
  /** Matches that wait for the scout. */
  waiting: { readonly question: PlaybackActs['match']['input']; resolve(result: MatchResult): void }[]
}

/** The scout waits while a setting is being dragged, so that the thread is free for what is heard. */
const SCOUT_AFTER_CHANGE_MS = 300

/**
 * Fits no engine. An engine that inherits anything starts with a short preroll, since what is heard now must
 * not wait; states of other material would fit by their size and be wrong.
 */
const FITS_NOTHING: RememberedState = { frame: 0, memory: [] }

const materialOf = ({ listening: { plan, heard } }: PlaybackSettings): string =>
  JSON.stringify([heard, plan.layers.map((layer) => [layer.id, ...takeHashesOf([layer])])])

const playbacks = new Map<string, OpenPlayback>()
let isScoutScheduled = false

const playbackOf = (playbackId: string): OpenPlayback => {
  const playback = playbacks.get(playbackId)
  if (playback === undefined) throw closedPlaybackFailure()
  return playback
}

/** @param inherited states of the engine that it replaces */
const createEngine = (
  { listening, takePaths }: PlaybackSettings,
  inherited: readonly RememberedState[],
): PlaybackEngine =>
  createPlaybackEngine(
    listening,
    (layer) => openPlannedTake(layer, takePaths, listening.plan.sampleRateHz),
    inherited,
  )

/** The answer where nothing has been measured. */
const NO_MATCH: MatchResult = {
  differenceLu: null,
  dryDb: 0,
  processedDb: 0,
  changeDb: null,
  activeSeconds: 0,
}

const closePlayback = (playbackId: string): void => {
  const playback = playbacks.get(playbackId)
  if (playback === undefined) return
  playbacks.delete(playbackId)
  for (const { resolve } of playback.waiting) resolve(NO_MATCH)
  playback.engine.close()
}

/** Answers the matches for which the scout has measured enough. */
const answerMatches = (playback: OpenPlayback): void => {
  playback.waiting = playback.waiting.filter(({ question, resolve }) => {
    const result = playback.engine.match(question.fromFrame, question.toFrame)
    const isEnough = playback.hasScouted || playback.engine.scoutedTo >= question.toFrame
    if (!isEnough && (result === null || result.activeSeconds < question.maxSeconds)) return true
    resolve(result ?? NO_MATCH)
    return false
  })
}

const startScout = (playback: OpenPlayback): void => {
  // The playback may have been closed or replaced by another change meanwhile.
  if (![...playbacks.values()].includes(playback)) return
  playback.isScouting = true
  scheduleScout()
}

/** Runs one slice. False at the end, or if a take can no longer be read, which the next span reports. */
const scoutOn = (engine: PlaybackEngine): boolean => {
  try {
    return engine.scout()
  } catch (error) {
    if (error instanceof Failure) return false
    throw error
  }
}

const scout = (): void => {
  isScoutScheduled = false
  for (const playback of playbacks.values()) {
    if (!playback.isScouting) continue
    playback.isScouting = scoutOn(playback.engine)
    playback.hasScouted = !playback.isScouting
    answerMatches(playback)
  }
  scheduleScout()
}

const scheduleScout = (): void => {
  if (isScoutScheduled || ![...playbacks.values()].some((playback) => playback.isScouting)) return
  isScoutScheduled = true
  // Lets pending calls run first, so that a span never waits for more than one slice.
  setImmediate(scout)
}

const acts: {
  [A in PlaybackAct]: (
    input: PlaybackActs[A]['input'],
    signal: AbortSignal,
  ) => PlaybackActs[A]['output'] | Promise<PlaybackActs[A]['output']>
} = {
  open(settings) {
    const engine = createEngine(settings, [])
    playbacks.set(settings.playbackId, {
      engine,
      material: materialOf(settings),
      isScouting: true,
      hasScouted: false,
      waiting: [],
    })
    scheduleScout()
    return null
  },
  tune(settings) {
    const { playbackId } = settings
    const before = playbackOf(playbackId)
    const material = materialOf(settings)
    const states = material === before.material ? before.engine.states() : [FITS_NOTHING]
    const engine = createEngine(settings, states)
    closePlayback(playbackId)
    const playback: OpenPlayback = { engine, material, isScouting: false, hasScouted: false, waiting: [] }
    playbacks.set(playbackId, playback)
    setTimeout(() => startScout(playback), SCOUT_AFTER_CHANGE_MS)
    return null
  },
  span({ playbackId, fromFrame, frames }) {
    const samples = new Float32Array(frames * 4)
    playbackOf(playbackId).engine.span(fromFrame, frames, samples)
    return samples
  },
  match(question, signal) {
    const playback = playbackOf(question.playbackId)
    return new Promise((resolve, reject) => {
      const waiting = { question, resolve }
      playback.waiting.push(waiting)
      signal.addEventListener('abort', () => {
        playback.waiting = playback.waiting.filter((one) => one !== waiting)
        reject(cancelledFailure())
      })
      answerMatches(playback)
    })
  },
  close({ playbackId }) {
    closePlayback(playbackId)
    return null
  },
}

answerCalls(createThreadPort(parentPort!), {
  read: trustedMessage,
  // The act and its input come from the same member of PlaybackActs, so their types match.
  answer: (act, input, { signal }) =>
    (acts[act as PlaybackAct] as (input: unknown, signal: AbortSignal) => unknown)(input, signal),
})
