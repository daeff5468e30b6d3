// The entry of the playback thread: answers spans at once, and between them lets the scout
// of each open playback run on.

import { parentPort } from 'node:worker_threads'
import { openAudioFile } from '../audio/open-audio-file.ts'
import { Failure, failureDataOf } from '../contract/failure.ts'
import { createPlaybackEngine, type MatchResult, type PlaybackEngine } from '../engine/playback-engine.ts'
import { createTakeSource } from '../engine/take-source.ts'
import type { PlaybackAct, PlaybackActs, PlaybackAnswer, PlaybackQuestion } from './playback-protocol.ts'

interface OpenPlayback {
  readonly engine: PlaybackEngine
  isScouting: boolean
  /** Matches that wait for the scout to get further. */
  waiting: { readonly question: PlaybackActs['match']['input']; resolve(result: MatchResult): void }[]
}

const port = parentPort!
const playbacks = new Map<string, OpenPlayback>()
let isScoutScheduled = false

const playbackOf = (playbackId: string): OpenPlayback => {
  const playback = playbacks.get(playbackId)
  if (playback === undefined) throw new Failure('not-found', 'This playback has been closed; start it again.')
  return playback
}

const closePlayback = (playbackId: string): void => {
  const playback = playbacks.get(playbackId)
  if (playback === undefined) return
  playbacks.delete(playbackId)
  for (const { resolve } of playback.waiting)
    resolve({ differenceLu: null, dryDb: 0, processedDb: 0, activeSeconds: 0 })
  playback.engine.close()
}

/** Answers the matches for which the scout has heard enough. */
const answerMatches = (playback: OpenPlayback): void => {
  playback.waiting = playback.waiting.filter(({ question, resolve }) => {
    const result = playback.engine.match(question.fromFrame, question.toFrame)
    const isEnough = !playback.isScouting || playback.engine.scoutedTo >= question.toFrame
    if (!isEnough && (result === null || result.activeSeconds < question.secondsAtMost)) return true
    resolve(result ?? { differenceLu: null, dryDb: 0, processedDb: 0, activeSeconds: 0 })
    return false
  })
}

const scout = (): void => {
  isScoutScheduled = false
  for (const playback of playbacks.values()) {
    if (!playback.isScouting) continue
    playback.isScouting = playback.engine.scout()
    answerMatches(playback)
  }
  scheduleScout()
}

const scheduleScout = (): void => {
  if (isScoutScheduled || ![...playbacks.values()].some((playback) => playback.isScouting)) return
  isScoutScheduled = true
  // After whatever questions have arrived meanwhile, so that a span never waits for more than one slice.
  setImmediate(scout)
}

const acts: {
  [A in PlaybackAct]: (
    input: PlaybackActs[A]['input'],
  ) => PlaybackActs[A]['output'] | Promise<PlaybackActs[A]['output']>
} = {
  set({ playbackId, plan, heard, takePaths }) {
    const engine = createPlaybackEngine(
      plan,
      heard,
      (layer) => createTakeSource(openAudioFile(takePaths[layer.take.sha256]), plan.sampleRateHz),
      playbacks.get(playbackId)?.engine.states(),
    )
    closePlayback(playbackId)
    playbacks.set(playbackId, { engine, isScouting: true, waiting: [] })
    scheduleScout()
    return null
  },
  span({ playbackId, fromFrame, frames }) {
    const samples = new Float32Array(frames * 4)
    playbackOf(playbackId).engine.span(fromFrame, frames, samples)
    return samples
  },
  match(question) {
    const playback = playbackOf(question.playbackId)
    return new Promise((resolve) => {
      playback.waiting.push({ question, resolve })
      answerMatches(playback)
    })
  },
  close({ playbackId }) {
    closePlayback(playbackId)
    return null
  },
}

port.on('message', async ({ id, act, input }: PlaybackQuestion) => {
  try {
    // The act and its input come from one member of the union, so they fit.
    const output = await (acts[act] as (input: unknown) => PlaybackActs[PlaybackAct]['output'])(input)
    const answer: PlaybackAnswer = { id, ok: true, output }
    port.postMessage(answer, output instanceof Float32Array ? [output.buffer] : [])
  } catch (error) {
    port.postMessage({ id, ok: false, failure: failureDataOf(error) } satisfies PlaybackAnswer)
  }
})
