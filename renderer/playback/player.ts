// The window's only player: opens a playback, keeps the ring filled, switches between dry and
// processed at equal loudness, and applies changed settings during playback.

import { useMemo, useSyncExternalStore } from 'react'
import { useStore } from 'zustand'
import { persist } from 'zustand/middleware'
import { createStore } from 'zustand/vanilla'
import { Failure } from '../../app/contract/failure.ts'
import type { MatchGains, OpenedPlayback, PlaybackSource } from '../../app/contract/playback.ts'
import type { FrameRange } from '../formats/frame-range.ts'
import { client, on } from '../state/connection.ts'
import { keeping } from '../state/kept-fields.ts'
import { reportFailure } from '../state/notices.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { readSelection, setLoop as selectLoop, watchSelection } from '../state/selection.ts'
import { watchSolo } from '../state/solo.ts'
import { type AudioOutput, openAudioOutput } from './audio-output.ts'
import { isCaptureAsked, offerCapture } from './capture.ts'
import { createFeeder, type Feeder } from './feeder.ts'
import { isSameTarget, originOf, samePlaceIn, withSolo } from './heard.ts'
import { createLoudnessMatch } from './loudness-match.ts'
import { createMeterHistory, SILENT_METERS } from './meter-history.ts'
import { fetchPlaybackSpan } from './playback-span.ts'
import { framesAhead, GAIN, WORD } from './ring.ts'

/** Which side of the playback is heard; `change` is processed less dry, both at equal loudness. */
export type Side = 'dry' | 'processed' | 'change'

/** Initial listening level in dB. */
const FIRST_LEVEL_DB = -20
/** The lowest listening level in dB, at which playback is silent; 0 dB is the highest. */
export const LOWEST_LEVEL_DB = -60
const readFirstLevel = (text: string): number | undefined => {
  const keptDb = text === '' ? Number.NaN : Number(text)
  return Number.isFinite(keptDb) ? Math.min(FIRST_LEVEL_DB, Math.max(LOWEST_LEVEL_DB, keptDb)) : undefined
}
const PUMP_MS = 15

interface PlayerState {
  readonly status: 'stopped' | 'opening' | 'playing'
  readonly source: PlaybackSource | null
  readonly opened: OpenedPlayback | null
  readonly isLooping: boolean
  readonly side: Side
  readonly levelDb: number
  /** Both sides as their mean; for listening only. */
  readonly isMono: boolean
  readonly match: MatchGains | null
  readonly isMatching: boolean
  /** Dropouts since play was pressed. */
  readonly underruns: number
}

const state = createStore<PlayerState>()(
  persist(
    () => ({
      status: 'stopped',
      source: null,
      opened: null,
      isLooping: readSelection().loop !== null,
      side: 'processed',
      levelDb: FIRST_LEVEL_DB,
      isMono: false,
      match: null,
      isMatching: false,
      underruns: 0,
    }),
    keeping<PlayerState>({
      // A level that was turned down stays down; a louder one starts from the first level again.
      levelDb: { key: 'takeloft.listeningLevel', read: readFirstLevel, write: String },
    }),
  ),
)
const change = (changes: Partial<PlayerState>): void => void state.setState(changes)

let output: AudioOutput | null = null
const meterHistory = createMeterHistory()
let feeder: Feeder | null = null
let timer: number | undefined
/** Incremented by every play and stop, so that a superseded call can detect it and give up. */
let turn = 0
/** The playhead while nothing plays, in session frames. */
let restFrame = 0
/** The playheads of the sessions that were open before. */
const restFrames = new Map<number, number>()
let underrunsBefore = 0

const gainOf = (db: number): number => 10 ** (db / 20)

const readContents = () => {
  const { sessionId } = readSelection()
  return sessionId === null ? undefined : queryClient.getQueryData(sessionContentsQuery(sessionId).queryKey)
}

function applyGains(): void {
  if (output === null) return
  const { side, levelDb, isMono, match } = state.getState()
  const { gains } = output.ring
  gains[GAIN.level] = levelDb <= LOWEST_LEVEL_DB ? 0 : gainOf(levelDb)
  gains[GAIN.mono] = isMono ? 1 : 0
  // Under the change, mix stays where it was, so that going back is one fade.
  if (side !== 'change') gains[GAIN.mix] = side === 'processed' ? 1 : 0
  gains[GAIN.change] = side === 'change' ? 1 : 0
  gains[GAIN.changeLift] = gainOf(match?.changeDb ?? 0)
  gains[GAIN.matchDry] = gainOf(match?.dryDb ?? 0)
  gains[GAIN.matchProcessed] = gainOf(match?.processedDb ?? 0)
}

const matching = createLoudnessMatch(
  (match) => {
    change({ match })
    applyGains()
  },
  (isMatching) => change({ isMatching }),
)

/**
 * What is played: the loop, or all of it. A take by itself has no position in the session, so all of it loops, except in
 * Chain, where the loop is the range that the figures of the take are of.
 */
function heardRange(opened: OpenedPlayback): FrameRange {
  const { source, isLooping } = state.getState()
  const { loop, place } = readSelection()
  const whole = { fromFrame: opened.startFrame, toFrame: opened.startFrame + opened.frames }
  if (!isLooping || loop === null || source === null) return whole
  if (source.target.kind !== 'take') return loop
  const origin = place === 'chain' ? originOf(source.target, readContents()) : null
  if (origin === null) return whole
  const range = {
    fromFrame: Math.max(whole.fromFrame, loop.fromFrame - origin),
    toFrame: Math.min(whole.toFrame, loop.toFrame - origin),
  }
  return range.toFrame > range.fromFrame ? range : whole
}

function askForMatch(when: 'now' | 'at rest'): void {
  const { opened } = state.getState()
  if (opened === null || opened.frames === 0) return
  matching.ask(() => {
    const range = heardRange(opened)
    const at = Math.round(playheadFrame())
    const atFrame = at >= range.fromFrame && at < range.toFrame ? at : range.fromFrame
    return { playbackId: opened.playbackId, range, atFrame }
  }, when)
}

/** The playhead: the session frame that is heard now, compensated for output latency. */
export function playheadFrame(): number {
  if (state.getState().status !== 'playing' || feeder === null || output === null) return restFrame
  const opened = state.getState().opened!
  const heard = output.writer.readFrame - output.latencySeconds() * output.sampleRateHz
  const frame = feeder.sessionFrameAt(heard)
  return Math.min(opened.startFrame + opened.frames, Math.max(opened.startFrame, frame))
}

function tick(): void {
  if (feeder === null || output === null) return
  if (output.isLost()) {
    loseOutput()
    return
  }
  const { words } = output.ring
  const mine = turn
  feeder.pump().catch((error: unknown) => {
    if (mine !== turn) return
    reportFailure('Playback stopped', error)
    void stop()
  })
  Atomics.store(words, WORD.ended, feeder.hasEnded ? 1 : 0)
  const underruns = Atomics.load(words, WORD.underruns) - underrunsBefore
  if (underruns !== state.getState().underruns) change({ underruns })
  const isPlayedOut =
    feeder.hasEnded &&
    Atomics.load(words, WORD.sounding) === 0 &&
    framesAhead(output.ring) < 0.03 * output.sampleRateHz
  if (isPlayedOut) {
    void stop().then(() => {
      if (state.getState().status !== 'stopped') return
      restFrame = heardRange(state.getState().opened!).fromFrame
      notifyPlayhead()
    })
  }
}

/** Stops where the output was, and lets go of it, so that Play opens the one that there is then. */
function loseOutput(): void {
  const lost = output
  reportFailure(
    'Playback stopped',
    new Failure(
      'vanished',
      'The sound output takes no sound any more; connect it again, or choose another in the system’s sound settings, then press Play.',
    ),
  )
  void stop()
  output = null
  void lost?.close()
}

/** Stops the output; resolves once it has faded out. */
async function halt(): Promise<void> {
  clearInterval(timer)
  restFrame = Math.round(playheadFrame())
  // Held in a local variable, because the next playback may set its own feeder during the fade-out.
  const held = feeder
  feeder = null
  await output?.stop()
  held?.close()
}

async function stop(): Promise<void> {
  turn++
  if (state.getState().status === 'stopped') return
  const halting = halt()
  change({ status: 'stopped' })
  notifyPlayhead()
  await halting
}

/** Changes the settings of an open playback. @returns null if the services have closed it */
async function tune({ playbackId }: OpenedPlayback, source: PlaybackSource): Promise<OpenedPlayback | null> {
  try {
    return await client.tunePlayback({ playbackId, source: withSolo(source, readContents()) })
  } catch (error) {
    if (error instanceof Failure && error.code === 'not-found') return null
    throw error
  }
}

const close = ({ playbackId }: OpenedPlayback): void =>
  void client.closePlayback({ playbackId }).catch(() => {})

/**
 * Opens a source, or changes the open playback if only its settings differ.
 * @returns null if another play or stop came first; a playback opened by this call is then closed
 */
async function openSource(
  source: PlaybackSource,
  isOvertaken: () => boolean,
): Promise<OpenedPlayback | null> {
  const { source: before, opened } = state.getState()
  if (opened !== null && before !== null && isSameTarget(before.target, source.target)) {
    const tuned = await tune(opened, source)
    if (isOvertaken()) return null
    if (tuned !== null) return tuned
  }
  if (opened !== null) close(opened)
  change({ opened: null, match: null })
  matching.cancel()
  const fresh = await client.openPlayback(withSolo(source, readContents()))
  if (isOvertaken()) {
    // Not in the state yet, so nothing else would close it.
    close(fresh)
    return null
  }
  return fresh
}

async function outputAt(sampleRateHz: number): Promise<AudioOutput> {
  if (output?.sampleRateHz === sampleRateHz) return output
  await output?.close()
  output = null
  output = await openAudioOutput(sampleRateHz)
  return output
}

/**
 * Plays from a session frame; by default from the playhead. While something else plays, the new source
 * crossfades in at the same place.
 */
async function play(source: PlaybackSource, from?: number): Promise<void> {
  const { source: before, status } = state.getState()
  const here = playheadFrame()
  const place = from ?? (before === null ? here : samePlaceIn(source, before, here, status, readContents()))
  if (status === 'playing') await exchange(source, place)
  else await start(source, place)
}

/** @param place null for the start of what is heard */
async function start(source: PlaybackSource, place: number | null): Promise<void> {
  const mine = ++turn
  const isOvertaken = (): boolean => mine !== turn
  try {
    await halt()
    if (isOvertaken()) return
    change({ status: 'opening' })
    const opened = await openSource(source, isOvertaken)
    if (opened === null) return
    change({ source, opened })
    const out = await outputAt(opened.sampleRateHz)
    if (isOvertaken()) return
    applyGains()
    out.writer.restart()
    meterHistory.begin(out.writer.readFrame)
    const range = heardRange(opened)
    const at = insideOf(range, place)
    feeder = createFeeder(out.writer, opened.sampleRateHz, opened, at, (frame, frames, signal) =>
      fetchPlaybackSpan(opened.playbackId, frame, frames, signal),
    )
    restFrame = at
    if (state.getState().isLooping) feeder.setLoop(range)
    await Promise.all([feeder.begin(), out.ready()])
    if (isOvertaken()) return
    underrunsBefore = Atomics.load(out.ring.words, WORD.underruns)
    out.start()
    change({ status: 'playing', underruns: 0 })
    timer = window.setInterval(tick, PUMP_MS)
    notifyPlayhead()
    askForMatch('now')
  } catch (error) {
    if (isOvertaken()) return
    reportFailure('Playback could not start', error)
    change({ status: 'stopped' })
  }
}

const insideOf = (range: FrameRange, place: number | null): number =>
  place !== null && place >= range.fromFrame && place < range.toFrame ? place : range.fromFrame

interface Wanted {
  readonly source: PlaybackSource
  /** Where to go on; undefined to stay, null for the start. */
  readonly place: number | null | undefined
}
let wanted: Wanted | null = null
let isChanging = false

/** Applies changed settings to the target being played. */
async function retune(source: PlaybackSource): Promise<void> {
  const before = state.getState().source
  if (before !== null && isSameTarget(before.target, source.target)) await exchange(source, undefined)
}

/**
 * Changes what the open playback renders: its settings, or another target. What is not heard yet is
 * replaced by a crossfade. Of several changes in quick succession, only the last is applied.
 */
async function exchange(source: PlaybackSource, place: Wanted['place']): Promise<void> {
  wanted = { source, place }
  if (isChanging) return
  isChanging = true
  try {
    while (wanted !== null) {
      const next: Wanted = wanted
      wanted = null
      const { opened, source: before } = state.getState()
      if (opened === null || before === null) return
      const isOther = !isSameTarget(before.target, next.source.target)
      // The gains stay until the next match; a pending response would be for the old settings.
      matching.cancel()
      const tuned = await tune(opened, next.source)
      if (state.getState().opened?.playbackId !== opened.playbackId) return
      if (tuned === null || tuned.sampleRateHz !== opened.sampleRateHz) {
        if (state.getState().status === 'playing') void start(next.source, next.place ?? null)
        return
      }
      change({ source: next.source, opened: tuned })
      feeder?.setExtent(tuned)
      const range = heardRange(tuned)
      if (isOther && state.getState().isLooping) feeder?.setLoop(range)
      const isRenewed = feeder?.redirect(next.place === undefined ? undefined : insideOf(range, next.place))
      askForMatch(isOther ? 'now' : 'at rest')
      if (state.getState().status !== 'playing') continue
      tick()
      // The next change waits, since requests faster than their answers would queue up stale spans.
      await isRenewed
    }
  } catch (error) {
    reportFailure('The change cannot be heard', error)
  } finally {
    isChanging = false
  }
}

function seek(frame: number): void {
  restFrame = frame
  if (state.getState().status === 'playing') {
    void feeder?.redirect(frame)
    tick()
  }
  notifyPlayhead()
}

/** Seeks to the start of the loop, or of the whole material. */
function seekToStart(): void {
  const { opened } = state.getState()
  seek(opened === null ? 0 : heardRange(opened).fromFrame)
}

function setLooping(isLooping: boolean): void {
  change({ isLooping })
  const { opened } = state.getState()
  if (opened === null) return
  feeder?.setLoop(isLooping ? heardRange(opened) : null)
  if (state.getState().status === 'playing') {
    tick()
    askForMatch('at rest')
  }
}

let lastLoop = readSelection().loop
watchSelection(() => {
  const { loop } = readSelection()
  if (loop === lastLoop) return
  lastLoop = loop
  // Setting a loop also enables looping; clearing it disables looping.
  setLooping(loop !== null)
})

// What is soloed is heard at once; a layer or take on its own has no solo.
watchSolo(() => {
  const { source } = state.getState()
  if (source !== null && (source.target.kind === 'stack' || source.target.kind === 'group'))
    void retune(source)
})

// Playhead, dropouts and the open playback belong to the session that was open.
let openSessionId = readSelection().sessionId
watchSelection(() => {
  const { sessionId } = readSelection()
  if (sessionId === openSessionId) return
  if (openSessionId !== null) restFrames.set(openSessionId, placeInSession())
  openSessionId = sessionId
  const { opened } = state.getState()
  void stop()
  matching.cancel()
  if (opened !== null) close(opened)
  change({ source: null, opened: null, match: null, underruns: 0 })
  restFrame = (sessionId === null ? undefined : restFrames.get(sessionId)) ?? 0
  notifyPlayhead()
})

/** The playhead; a take on its own has no place in the session. */
const placeInSession = (): number =>
  state.getState().source?.target.kind === 'take' ? 0 : Math.round(playheadFrame())

// Applies changes to gains, pans, chains and takes in the catalogue to the playback immediately.
on('catalogueChanged', ({ subjects }) => {
  const { source } = state.getState()
  if (
    source !== null &&
    subjects.some((subject) => ['stack', 'chains', 'takes', 'sessions'].includes(subject))
  ) {
    void retune(source)
  }
})

/** The functions of the player. Failures become notices. */
export const player = {
  play,
  stop,
  /** Stops, or plays the source from the playhead; by default the last source. */
  toggle(source: PlaybackSource | null = state.getState().source): void {
    if (state.getState().status !== 'stopped') void stop()
    else if (source !== null) void play(source)
  },
  seek,
  seekToStart,
  /** Sets the loop and enables looping; null clears it. */
  setLoop: (loop: FrameRange | null): void => selectLoop(loop),
  setLooping,
  setSide(side: Side): void {
    change({ side })
    applyGains()
  },
  setMono(isMono: boolean): void {
    change({ isMono })
    applyGains()
  },
  setLevelDb(levelDb: number): void {
    change({ levelDb: Math.min(0, Math.max(LOWEST_LEVEL_DB, levelDb)) })
    applyGains()
  },
  retune,
}

/** The player's functions with its current state. */
export type Player = typeof player & PlayerState

/** The player with its state, for components. */
export function usePlayer(): Player {
  const now = useStore(state)
  return useMemo(() => ({ ...player, ...now }), [now])
}

/** The meter's readings by METER; shared with the audio thread, which goes on writing them. */
export const readMeters = (): Float32Array => output?.ring.meters ?? SILENT_METERS

/** The readings of what is heard now; asked with each frame of the screen. */
export function readHeardMeters(): Float32Array {
  if (output === null) return SILENT_METERS
  const { readFrame } = output.writer
  return meterHistory.at(
    output.ring.meters,
    readFrame,
    readFrame - output.latencySeconds() * output.sampleRateHz,
  )
}

/** The player's current state. */
export const readPlayer = state.getState

const playheadWatchers = new Set<() => void>()
let frameRequest = 0
/** Fixed between notifications, because React may read it several times during one render. */
let shownFrame = 0

function notifyPlayhead(): void {
  shownFrame = Math.round(playheadFrame())
  for (const watcher of playheadWatchers) watcher()
  cancelAnimationFrame(frameRequest)
  if (playheadWatchers.size > 0 && state.getState().status === 'playing') {
    frameRequest = requestAnimationFrame(notifyPlayhead)
  }
}

function watchPlayhead(watcher: () => void): () => void {
  playheadWatchers.add(watcher)
  if (playheadWatchers.size === 1) notifyPlayhead()
  return () => playheadWatchers.delete(watcher)
}

/** The playhead in session frames, updated on every animation frame during playback. */
export const usePlayhead = (): number => useSyncExternalStore(watchPlayhead, () => shownFrame)

if (isCaptureAsked()) {
  offerCapture(
    () => output,
    (ringFrame) => {
      if (output === null || feeder === null) return 0
      const { readFrame } = output.writer
      return feeder.sessionFrameAt(readFrame + ((ringFrame - readFrame) | 0))
    },
  )
}
