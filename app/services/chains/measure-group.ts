// A chain on its whole group as it is in the session: layers with their offsets, gains and pans, without muted ones and those
// whose take is missing.

import { type ChainStages, isLayerStage } from '../../contract/chain-document.ts'
import { Failure } from '../../contract/failure.ts'
import type { SongOfChain } from '../../contract/song/joint-rows.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { channelsOfGroup } from '../../engine/measuring/group-source.ts'
import type { StageToMeasure } from '../../engine/measuring/measure-joints.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { planSession, readSessionContents } from '../sessions/plan-session.ts'
import { presentLayers } from '../sessions/present-layers.ts'
import { catalogueRoot, missingFailure, readableTakes } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import type { JointCache } from './joint-cache.ts'
import { measureSong } from './measure-song.ts'
import { sumSetups } from './resolve-stages.ts'

const ON_EACH_LAYER =
  'This stage runs on each layer before the sum, so the group has it behind it already; its work is shown on a take.'

/** @param stages the group's chain as it is edited @param joints as measureSong */
export async function measureGroupSong(
  workplace: Workplace,
  joints: JointCache,
  groupId: number,
  stages: ChainStages,
  call: CallContext,
): Promise<{ song: SongOfChain; startFrame: number }> {
  const { catalogue, fitter, verifiedFiles } = workplace
  const group = catalogue.groups.get(groupId)
  const all = readSessionContents(catalogue, group.sessionId)
  if (all.session.chainSharing === 'shared') {
    throw new Failure(
      'conflict',
      'The groups of this session share one chain, which hears the whole stack; only single takes are measured through it.',
      { groupId },
    )
  }
  const ofGroup = all.layers.filter((layer) => layer.groupId === groupId)
  const root = catalogueRoot(catalogue.path)
  const { layers, found, missing } = await presentLayers(verifiedFiles, root, all.takes, ofGroup, {
    isBrief: true,
  })
  const { plan } = planSession(catalogue, fitter, { ...all, layers: [...layers] }, { groupId, stages })
  if (plan.layers.length === 0) {
    if (missing.length > 0) throw missingFailure(missing, `Nothing of ${group.name} can be measured`)
    throw new Failure('empty', `Nothing of ${group.name} sounds: place a take in it, or unmute a layer.`, {
      groupId,
    })
  }
  const takePaths = await readableTakes(workplace, found, call.signal)
  const toMeasure = stages.map((stage): StageToMeasure => {
    const { kind, on } = stage
    return isLayerStage(stage)
      ? { kind, on, setup: null, remark: on ? ON_EACH_LAYER : null }
      : { kind, on, setup: sumSetups([stage])[0] ?? null, remark: null }
  })
  // Nothing that comes behind the chain, and no name: they change no figure.
  const heard = plan.layers.map(({ take, name: _, ...layer }) => [take.sha256, layer])
  const { startFrame, frames, panLaw, sampleRateHz } = plan
  const song = await measureSong(
    workplace,
    joints,
    {
      sound: { plan, groupId, takePaths },
      sha256: hashOfValue(['what a chain gets', startFrame, frames, panLaw, heard]),
      slot: hashOfValue(['a group', groupId]),
      channels: channelsOfGroup(plan.layers),
      frames,
      sampleRateHz,
    },
    toMeasure,
    call,
  )
  return { song, startFrame }
}
