// What answers a finding: a change of one layer, or a band in the chain of its group. Never one on the lead.

import { type ChainStage, defaultStages } from '../../../../app/contract/chain-document.ts'
import type { Layer, SessionContents } from '../../../../app/contract/entities.ts'
import type { StackFinding } from '../../../../app/contract/stack-check/stack-check.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { changeLayer, type LayerChanges } from '../../../acts/stack-acts.ts'
import { takeIn } from '../../../acts/take-in-proposal.ts'
import { LAYER_GAIN_BOUNDS, OFFSET_BOUNDS } from '../../../formats/bounds.ts'
import { rowsOf, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { framesOfMs } from '../../../formats/stack/offset-units.ts'
import { endTriedStack } from '../../../playback/end-tried-stack.ts'
import { sourceOf } from '../../../playback/heard.ts'
import { player } from '../../../playback/player.ts'
import { editRows, followUsed } from '../../../state/chain/chain-draft.ts'
import { type ChainInUse, chainOf } from '../../../state/chain/chain-owner.ts'
import { goTo, selectLayer } from '../../../state/selection.ts'
import { setTriedStack } from '../../../state/tried.ts'

/** What can be tried and taken; or why the window has no act for it. */
export type FindingAct =
  | {
      readonly is: 'layer'
      readonly layer: Layer
      readonly changes: LayerChanges
      readonly what: string
      readonly name: string
    }
  | {
      readonly is: 'stage'
      readonly layer: Layer
      readonly chain: ChainInUse
      readonly stage: ChainStage
      readonly note: string
      /** What the stage does, as in 'cut for Double'. */
      readonly what: string
    }
  | { readonly is: 'none'; readonly why: string }

const none = (why: string): FindingAct => ({ is: 'none', why })
const within = (value: number, { min, max }: { min: number; max: number }): number =>
  Math.min(max, Math.max(min, value))

export function actOn(finding: StackFinding, contents: SessionContents): FindingAct {
  const { suggestion } = finding
  if (suggestion === null) return none('Listen and decide: nothing on one layer would answer it.')
  if (suggestion.act === 'hold') return holdIn(contents, suggestion.layerIds, -suggestion.gainDb)
  const layer = contents.layers.find(({ id }) => id === suggestion.layerId)
  if (layer === undefined) return none('The layer is not in the stack any more.')
  if (layer.role === 'lead') return none('It would change the lead.')
  switch (suggestion.act) {
    case 'gain': {
      const gainDb = within(layer.gainDb + suggestion.gainDb, LAYER_GAIN_BOUNDS)
      return { is: 'layer', layer, changes: { gainDb }, what: 'gain', name: 'Lower it' }
    }
    case 'mute':
      return { is: 'layer', layer, changes: { muted: true }, what: 'mute', name: 'Mute it' }
    case 'shift': {
      const frames = framesOfMs(suggestion.shiftMs, contents.session.sampleRateHz)
      const offsetSamples = within(layer.offsetSamples + frames, OFFSET_BOUNDS)
      return { is: 'layer', layer, changes: { offsetSamples }, what: 'offset', name: 'Move it' }
    }
    case 'invert':
      return {
        is: 'layer',
        layer,
        changes: { polarityInverted: !layer.polarityInverted },
        what: 'polarity',
        name: 'Invert its polarity',
      }
    case 'bell': {
      const { frequencyHz, gainDb, q } = suggestion
      const stage = {
        ...defaultStages.tone,
        settings: { bands: [{ shape: 'bell' as const, frequencyHz, gainDb, q }] },
      }
      return inChainOf(contents, [layer], stage, { verb: 'cut it', what: `cut for ${layer.name}` })
    }
  }
}

/** One de-ess for all places. */
function holdIn(contents: SessionContents, layerIds: readonly number[], rangeDb: number): FindingAct {
  const layers = contents.layers.filter(({ id }) => layerIds.includes(id))
  const [first] = layers
  if (first === undefined) return none('The layers are not in the stack any more.')
  if (layers.some(({ groupId }) => groupId !== first.groupId))
    return none('They are in several groups; a de-ess in the chain of each group holds them.')
  const stage = {
    ...defaultStages['de-ess'],
    settings: { ...defaultStages['de-ess'].settings, rangeDb },
  }
  return inChainOf(contents, layers, stage, { verb: 'hold them', what: 'hold the s' })
}

/** A stage in the chain of a group, which never processes a lead. @param layers of the group that it is meant for */
function inChainOf(
  contents: SessionContents,
  layers: readonly Layer[],
  stage: ChainStage,
  { verb, what }: { readonly verb: string; readonly what: string },
): FindingAct {
  const layer = layers[0]
  const group = contents.groups.find(({ id }) => id === layer.groupId) ?? null
  const members = contents.layers.filter(({ groupId }) => groupId === layer.groupId)
  if (contents.session.chainSharing === 'shared')
    return none(`One chain processes the whole stack with the lead; choose a chain per group to ${verb}.`)
  if (group === null || members.some(({ role }) => role === 'lead')) {
    const moved = layers.length === 1 ? 'the layer' : 'the layers'
    return none(
      `The chain of ${group?.name ?? 'its group'} also processes a lead; move ${moved} to another group to ${verb}.`,
    )
  }
  const others = members.filter((one) => !one.muted && !layers.includes(one)).length
  const note =
    others > 0
      ? `It goes into the chain of ${group.name}, which also processes ${countOf(others, 'other layer')}.`
      : ''
  return { is: 'stage', layer, chain: chainOf(contents, group), stage, note, what }
}

/** Plays the stack with the act, from `frame` on; its other side is the stack as it is, equally loud. */
export function tryAct(act: FindingAct, sessionId: number, frame: number): void {
  if (act.is === 'none') return
  const { id: layerId, groupId } = act.layer
  setTriedStack(
    act.is === 'layer'
      ? { sessionId, layers: [{ layerId, changes: act.changes }], draft: null }
      : {
          sessionId,
          layers: [],
          draft: { groupId, stages: stagesOf(takeIn(rowsOf(act.chain.used?.stages ?? []), act.stage)) },
        },
  )
  player.setSide('processed')
  void player.play(sourceOf({ kind: 'stack', sessionId }), frame)
}

/** Makes the change, which can be undone; a band goes into the draft of the chain, which is opened. */
export function takeAct(act: FindingAct): void {
  endTriedStack()
  if (act.is === 'layer') void changeLayer(act.layer, act.changes, act.what)
  if (act.is !== 'stage') return
  followUsed(act.chain)
  editRows(
    act.chain.owner,
    act.what,
    (rows) => takeIn(rows, act.stage),
    (rows) => rows.find(({ stage }) => stage.kind === act.stage.kind)?.key ?? null,
  )
  selectLayer(act.layer)
  goTo('chain')
}
