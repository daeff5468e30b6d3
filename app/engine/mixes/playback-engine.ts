// Renders any span of a plan for playback, dry and processed side by side, by the same units that
// bounce. A scout runs ahead through the whole plan in small slices; it leaves checkpoints, so that a
// jump or a loop starts from the state the full render has there, and the K-weighted powers that
// equal loudness is computed from.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import {
  activeBlocks,
  BLOCKS_PER_SECOND,
  changeGainDb,
  createBlockPowers,
  loudnessDifferenceDb,
  matchGainsDb,
} from '../../dsp/meters/equal-loudness.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createDryMix } from './dry-mix.ts'
import { layerPanGains } from './lane-mixer.ts'
import { createProcessedMix, type Heard, heardLayers } from './processed-mix.ts'
import {
  copyMemory,
  fitsMemory,
  latestStateBefore,
  type RememberedState,
  restoreMemory,
} from './remembered-states.ts'
import type { TakeSource } from './take-source.ts'

/** What is listened to. */
export interface Listening {
  readonly plan: RenderPlan
  readonly heard: Heard
  /** Played in place of the dry side: the same takes through other stages. */
  readonly comparedWith: RenderPlan | null
}

/** Dry left, dry right, processed left, processed right. */
const SPAN_CHANNELS = 4
/** At most this many checkpoints; a long song has them further apart. */
const MAX_CHECKPOINTS = 240
const MIN_CHECKPOINT_S = 0.5
/** Latest states of the player itself: after a changed setting, playback restarts slightly further back. */
const RECENT_STATES = 16
const MAX_NEAR_STATES = MAX_CHECKPOINTS + RECENT_STATES
/** Preroll from silence before a position that no checkpoint covers yet. */
const PREROLL_S = 6
/**
 * The same after a change of settings that no earlier state fits. Shorter, because sound must not wait; the
 * opto's memory has mostly settled by then.
 */
const PREROLL_AFTER_CHANGE_S = 1.5
/** Frames the scout renders before it lets a request through. */
const SLICE_FRAMES = 2 * BLOCK_FRAMES

/** Loudness difference of processed and dry over the active blocks of a span. */
export interface MatchResult {
  readonly differenceLu: number | null
  readonly dryDb: number
  readonly processedDb: number
  /** Gain for processed less dry, both matched, towards their loudness; null where they are the same. */
  readonly changeDb: number | null
  readonly activeSeconds: number
}

/** Renders any span of one plan. */
export interface PlaybackEngine {
  /** Fills `into` (planar, SPAN_CHANNELS x frames) from session frame `fromFrame`; zeros outside the plan. */
  span(fromFrame: number, frames: number, into: Float32Array): void
  /** Runs the scout one slice on; false once it has reached the end. */
  scout(): boolean
  /** Session frame up to which the scout has rendered the plan. */
  readonly scoutedTo: number
  /** The match over a span from what the scout has rendered of it so far; null before it has any of it. */
  match(fromFrame: number, toFrame: number): MatchResult | null
  /** Remembered states, for the engine that replaces this one when a setting changes. */
  states(): readonly RememberedState[]
  close(): void
}

/** One pass through the plan: the processed sound, with what it is compared with beside it. */
interface Pass {
  position: number
  readonly memory: readonly Float64Array[]
  readonly processed: Channels
  readonly dry: Channels
  begin(frame: number): void
  render(frames: number): void
}

/**
 * @param openTake opens the take of a layer at the plan's rate; every call gives a source of its own
 * @param inherited states of the engine that played before with other settings
 */
export function createPlaybackEngine(
  listening: Listening,
  openTake: (layer: PlannedLayer) => TakeSource,
  inherited: readonly RememberedState[] = [],
): PlaybackEngine {
  const { plan } = listening
  const opened: TakeSource[] = []
  const open = (layer: PlannedLayer): TakeSource => {
    const source = openTake(layer)
    opened.push(source)
    return source
  }
  const endFrame = plan.startFrame + plan.frames
  const powerBlock = plan.sampleRateHz / BLOCKS_PER_SECOND
  const checkpointFrames =
    BLOCK_FRAMES *
    Math.ceil(Math.max(plan.sampleRateHz * MIN_CHECKPOINT_S, plan.frames / MAX_CHECKPOINTS) / BLOCK_FRAMES)

  const closeTakes = (): void => {
    for (const source of opened) source.close()
  }
  const player = createFirstPass(listening, open, closeTakes)
  /** Created on its first run, so that the first sound after a change does not wait for it. */
  let scout: Pass | null = null
  const silence = copyMemory(player.memory)
  const checkpoints: RememberedState[] = []
  const recent: RememberedState[] = []
  /** Approximate states: those of earlier settings, and those of playback that started from them. */
  const near = inherited.filter((state) => fitsMemory(player.memory, state.memory))
  /** Whether the player's state equals that of a render from the start. */
  let isExact = false
  /** Whether the player has been positioned yet. */
  let isPlaced = false

  const dryPowers = createBlockPowers({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const processedPowers = createBlockPowers({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const sumPowers = createBlockPowers({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const both = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]

  const startScout = (): Pass => {
    const pass = createPass(listening, open)
    pass.begin(plan.startFrame)
    scout = pass
    return pass
  }

  const runScout = (): boolean => {
    const scouting = scout ?? startScout()
    for (let done = 0; done < SLICE_FRAMES && scouting.position < endFrame; ) {
      if ((scouting.position - plan.startFrame) % checkpointFrames === 0) {
        checkpoints.push({ frame: scouting.position, memory: copyMemory(scouting.memory) })
      }
      const frames = Math.min(BLOCK_FRAMES, endFrame - scouting.position)
      scouting.render(frames)
      dryPowers.add(scouting.dry, frames)
      processedPowers.add(scouting.processed, frames)
      addUp(scouting, frames, both)
      sumPowers.add(both, frames)
      done += frames
    }
    return scouting.position < endFrame
  }

  /** Moves the player to a frame: restores the best state before it and discards the output up to it. */
  const goTo = (frame: number): void => {
    const exact = latestStateBefore([...checkpoints, ...recent], frame)
    const prerollS = inherited.length > 0 ? PREROLL_AFTER_CHANGE_S : PREROLL_S
    const fromSilence = Math.max(plan.startFrame, frame - Math.round(prerollS * plan.sampleRateHz))
    const isClose = exact !== undefined && frame - exact.frame <= checkpointFrames
    const best = isClose ? exact : (latestStateBefore(near, frame) ?? exact)
    if (best !== undefined && best.frame >= fromSilence) {
      restoreMemory(player.memory, best.memory)
      player.position = best.frame
      isExact = best === exact
    } else {
      restoreMemory(player.memory, silence)
      player.begin(fromSilence)
      isExact = fromSilence === plan.startFrame
    }
    while (player.position < frame) player.render(Math.min(BLOCK_FRAMES, frame - player.position))
  }

  const rememberPlayer = (): void => {
    const states = isExact ? recent : near
    states.push({ frame: player.position, memory: copyMemory(player.memory) })
    if (states.length > (isExact ? RECENT_STATES : MAX_NEAR_STATES)) states.shift()
  }

  return {
    span(fromFrame, frames, into) {
      into.fill(0)
      const first = Math.max(fromFrame, plan.startFrame)
      const last = Math.min(fromFrame + frames, endFrame)
      if (first >= last) return
      if (!isPlaced || player.position !== first) goTo(first)
      isPlaced = true
      rememberPlayer()
      while (player.position < last) {
        const at = player.position - fromFrame
        const count = Math.min(BLOCK_FRAMES, last - player.position)
        player.render(count)
        for (let c = 0; c < SPAN_CHANNELS; c++) {
          const channel = (c < 2 ? player.dry : player.processed)[c % 2]
          const base = c * frames + at
          for (let i = 0; i < count; i++) into[base + i] = channel[i]
        }
      }
    },
    scout: runScout,
    get scoutedTo() {
      return scout?.position ?? plan.startFrame
    },
    match(fromFrame, toFrame) {
      const first = Math.max(0, Math.floor((fromFrame - plan.startFrame) / powerBlock))
      const last = Math.ceil((toFrame - plan.startFrame) / powerBlock)
      const dry = dryPowers.powers()
      const processed = processedPowers.powers()
      if (first >= Math.min(last, dry.length)) return null
      const differenceLu = loudnessDifferenceDb(dry, processed, first, last)
      const { dryDb, wetDb } = differenceLu === null ? { dryDb: 0, wetDb: 0 } : matchGainsDb(differenceLu)
      const active = activeBlocks(dry.subarray(first, last)).reduce((sum, isActive) => sum + isActive, 0)
      const changeDb =
        differenceLu === null
          ? null
          : changeGainDb(differenceLu, dry, processed, sumPowers.powers(), first, last)
      return { differenceLu, dryDb, processedDb: wetDb, changeDb, activeSeconds: active / BLOCKS_PER_SECOND }
    },
    states: () => [...near, ...checkpoints, ...recent].slice(-MAX_NEAR_STATES),
    close: closeTakes,
  }
}

/** Dry plus processed of each channel. */
function addUp({ dry, processed }: Pass, frames: number, into: readonly Float64Array[]): void {
  for (let c = 0; c < into.length; c++) {
    const sum = into[c]
    const a = dry[c]
    const b = processed[c]
    for (let i = 0; i < frames; i++) sum[i] = a[i] + b[i]
  }
}

/** If one take cannot be opened, closes those opened before it. */
function createFirstPass(
  listening: Listening,
  open: (layer: PlannedLayer) => TakeSource,
  closeTakes: () => void,
): Pass {
  try {
    return createPass(listening, open)
  } catch (error) {
    closeTakes()
    throw error
  }
}

function createPass(
  { plan, heard, comparedWith }: Listening,
  open: (layer: PlannedLayer) => TakeSource,
): Pass {
  const processed = createProcessedMix(plan, heard, open)
  const dry =
    comparedWith === null
      ? createDryMix(plan.sampleRateHz, heardLayers(plan, heard), open, (layer) =>
          heard.kind === 'layer' ? [1, 1] : layerPanGains(layer, plan.panLaw),
        )
      : createProcessedMix(comparedWith, heard, open)
  const pass: Pass = {
    position: plan.startFrame,
    memory: [...processed.memory, ...dry.memory],
    processed: processed.sum,
    dry: dry.sum,
    begin(frame) {
      pass.position = frame
      processed.begin(frame)
      dry.begin(frame)
    },
    render(frames) {
      processed.render(frames)
      dry.render(frames)
      pass.position += frames
    },
  }
  return pass
}
