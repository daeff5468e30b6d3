// What is heard: any span of a plan, dry and processed side by side, rendered by the same
// units that bounce. A scout runs ahead through the whole plan in small slices; it leaves
// checkpoints, so that a jump or a loop starts from the state the full render has there, and
// the K-weighted powers that equal loudness is computed from.

import type { PlannedLayer, RenderPlan } from '../contract/render-plan.ts'
import {
  activeBlocks,
  BLOCKS_PER_SECOND,
  createBlockPowers,
  loudnessDifferenceDb,
  matchGainsDb,
} from '../dsp/equal-loudness.ts'
import { BLOCK_FRAMES, type Channels } from '../dsp/stage.ts'
import { createDryMix } from './dry-mix.ts'
import { addPanned, clearLane, layerPanGains } from './lane-mixer.ts'
import {
  copyMemory,
  fitsMemory,
  latestStateBefore,
  type RememberedState,
  restoreMemory,
} from './remembered-states.ts'
import { createRenderUnit, unitsOf } from './render-unit.ts'
import type { TakeSource } from './take-source.ts'

export type Heard =
  | { readonly kind: 'stack' }
  | { readonly kind: 'group'; readonly groupId: number }
  | { readonly kind: 'layer'; readonly layerId: number }

/** Dry left, dry right, processed left, processed right. */
const SPAN_CHANNELS = 4
/** At most this many checkpoints; a long song has them further apart. */
const MOST_CHECKPOINTS = 240
const SHORTEST_CHECKPOINT_S = 0.5
/** The player's own latest states: a changed setting is heard from a little before what was rendered last. */
const RECENT_STATES = 16
const MOST_NEAR_STATES = MOST_CHECKPOINTS + RECENT_STATES
/** How much is run from silence before a place that no checkpoint covers yet. */
const PREROLL_S = 6
/** Frames the scout renders before it lets a request through. */
const SLICE_FRAMES = 8 * BLOCK_FRAMES

export interface MatchResult {
  readonly differenceLu: number | null
  readonly dryDb: number
  readonly processedDb: number
  readonly activeSeconds: number
}

export interface PlaybackEngine {
  /** Fills `into` (planar, SPAN_CHANNELS x frames) from session frame `fromFrame`; zeros outside the plan. */
  span(fromFrame: number, frames: number, into: Float32Array): void
  /** Runs the scout one slice on; false once it has reached the end. */
  scout(): boolean
  /** Session frame up to which the scout has heard the plan. */
  readonly scoutedTo: number
  /** The match over a span from what the scout has heard of it so far; null before it has heard any of it. */
  match(fromFrame: number, toFrame: number): MatchResult | null
  /** Every state it knows, for the engine that takes its place when a setting has changed. */
  states(): readonly RememberedState[]
  close(): void
}

/** One pass through the plan: the units that are needed and the dry mix beside them. */
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
  plan: RenderPlan,
  heard: Heard,
  openTake: (layer: PlannedLayer) => TakeSource,
  inherited: readonly RememberedState[] = [],
): PlaybackEngine {
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
    Math.ceil(
      Math.max(plan.sampleRateHz * SHORTEST_CHECKPOINT_S, plan.frames / MOST_CHECKPOINTS) / BLOCK_FRAMES,
    )

  const player = createPass(plan, heard, open)
  const scout = createPass(plan, heard, open)
  const silence = copyMemory(player.memory)
  const checkpoints: RememberedState[] = []
  const recent: RememberedState[] = []
  /** Nearly right: states of other settings, and what was played on from them. */
  const near = inherited.filter((state) => fitsMemory(player.memory, state.memory))
  /** Whether the player's state is that of a render from the start. */
  let isExact = false
  /** Whether the player has been brought anywhere yet. */
  let isPlaced = false
  scout.begin(plan.startFrame)

  const dryPowers = createBlockPowers({ sampleRateHz: plan.sampleRateHz, channels: 2 })
  const processedPowers = createBlockPowers({ sampleRateHz: plan.sampleRateHz, channels: 2 })

  const runScout = (): boolean => {
    for (let done = 0; done < SLICE_FRAMES && scout.position < endFrame; ) {
      if ((scout.position - plan.startFrame) % checkpointFrames === 0) {
        checkpoints.push({ frame: scout.position, memory: copyMemory(scout.memory) })
      }
      const frames = Math.min(BLOCK_FRAMES, endFrame - scout.position)
      scout.render(frames)
      dryPowers.add(scout.dry, frames)
      processedPowers.add(scout.processed, frames)
      done += frames
    }
    return scout.position < endFrame
  }

  /** Brings the player to a frame from the best place known, and runs it on from there unheard. */
  const goTo = (frame: number): void => {
    const exact = latestStateBefore([...checkpoints, ...recent], frame)
    const fromSilence = Math.max(plan.startFrame, frame - Math.round(PREROLL_S * plan.sampleRateHz))
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
    if (states.length > (isExact ? RECENT_STATES : MOST_NEAR_STATES)) states.shift()
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
      return scout.position
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
      return { differenceLu, dryDb, processedDb: wetDb, activeSeconds: active / BLOCKS_PER_SECOND }
    },
    states: () => [...near, ...checkpoints, ...recent].slice(-MOST_NEAR_STATES),
    close() {
      for (const source of opened) source.close()
    },
  }
}

/** What a pass needs of a plan: which units run, which of their outputs are heard, and which layers are the dry side. */
function createPass(plan: RenderPlan, heard: Heard, open: (layer: PlannedLayer) => TakeSource): Pass {
  const layer = heard.kind === 'layer' ? plan.layers.find((one) => one.id === heard.layerId) : undefined
  const groupId = heard.kind === 'group' ? heard.groupId : layer?.groupId
  const isHeardGroup = (group: { id: number }): boolean => heard.kind === 'stack' || group.id === groupId

  const unitPlans = unitsOf(plan).filter((unit) => unit.groups.some(isHeardGroup))
  const units = unitPlans.map((unit) =>
    createRenderUnit(plan, unit, open, { layerStems: layer !== undefined }),
  )
  // A layer is heard as its stem is: mono, with gain and without pan.
  const outputs = units.flatMap((unit, u) =>
    layer !== undefined
      ? [unit.layers[unitPlans[u].layers.indexOf(layer)]]
      : unit.groups.filter((_, g) => isHeardGroup(unitPlans[u].groups[g])),
  )
  const dryMix = createDryMix(
    plan.sampleRateHz,
    layer !== undefined
      ? [layer]
      : plan.layers.filter((one) => heard.kind === 'stack' || one.groupId === groupId),
    open,
    (one) => (layer !== undefined ? [1, 1] : layerPanGains(one, plan.panLaw)),
  )
  const processed: Channels = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]
  const pass: Pass = {
    position: plan.startFrame,
    memory: [...units.flatMap((unit) => unit.memory), ...dryMix.memory],
    processed,
    dry: dryMix.sum,
    begin(frame) {
      pass.position = frame
      for (const unit of units) unit.begin(frame)
      dryMix.begin(frame)
    },
    render(frames) {
      for (const unit of units) unit.render(frames)
      dryMix.render(frames)
      clearLane(processed, frames)
      for (const output of outputs) addPanned(output, [1, 1], processed, frames)
      pass.position += frames
    },
  }
  return pass
}
