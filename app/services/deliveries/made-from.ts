// What a delivery is made from, as later ones are compared with it, and the differences between two.

import type { DeliveryChange } from '../../contract/delivery/delivery-change.ts'
import type { DeliverySource } from '../../contract/delivery/delivery-record.ts'
import type { DeliveryContents } from '../../contract/delivery/delivery-request.ts'
import type { SessionContents } from '../../contract/entities.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { tempoWords } from '../../words/bars/bar-words.ts'
import { chainsUsed } from '../bounces/noted.ts'
import { PROGRAM } from '../program.ts'

/** Settings of a delivery that are not in its plan. */
export type DeliverySettings = Pick<
  DeliverySource,
  'sampleRateHz' | 'encoding' | 'template' | 'contents' | 'range' | 'markers'
>

/** Everything that a later delivery is compared with. */
export function sourceOf(
  contents: SessionContents,
  plan: RenderPlan,
  settings: DeliverySettings,
): DeliverySource {
  const { session, takes } = contents
  const saved = chainsUsed(contents)
  const isShared = plan.sharing === 'shared'
  const groupName = (id: number): string => plan.groups.find((group) => group.id === id)?.name ?? ''
  const chainOf = (groupId: number | null): DeliverySource['chains'][number] => {
    const version = saved.find((one) => one.groupId === groupId)
    const own = plan.layers.filter((layer) => groupId === null || layer.groupId === groupId)
    const stages = groupId === null ? plan.sharedStages : plan.groups.find(({ id }) => id === groupId)?.stages
    return {
      of: groupId === null ? '' : groupName(groupId),
      name: version?.name ?? '',
      number: version?.number ?? 0,
      // With what runs on each layer, which depends on its mic.
      hash: hashOfValue({ stages, layers: own.map((layer) => layer.stages) }),
    }
  }
  return {
    ...settings,
    program: PROGRAM.version,
    tempo: tempoWords(session),
    groups: plan.groups.map(({ id, name, gainDb }) => ({ id, name, gainDb })),
    layers: plan.layers.map(({ id, groupId, name, take, polarityInverted, ...sound }) => ({
      ...{ id, name, offsetSamples: sound.offsetSamples, gainDb: sound.gainDb, pan: sound.pan },
      ...(polarityInverted ? { polarityInverted } : {}),
      group: groupName(groupId),
      take: takes.find(({ sha256 }) => sha256 === take.sha256)?.name ?? '',
      takeSha256: take.sha256,
    })),
    chains: isShared ? [chainOf(null)] : plan.groups.map(({ id }) => chainOf(id)),
  }
}

type Value = DeliveryChange['from']

/**
 * Differences in the order in which an engineer asks for them: sound first, then format.
 * @param isForeign the one before was made on another computer, where groups and layers have other numbers; those of
 *   one name count as the same
 */
export function changesBetween(
  { madeFrom: before, isForeign }: { readonly madeFrom: DeliverySource; readonly isForeign: boolean },
  now: DeliverySource,
): DeliveryChange[] {
  const changes: DeliveryChange[] = []
  const note = (kind: DeliveryChange['kind'], name: string, from: Value, to: Value): void => {
    if (from !== to) changes.push({ kind, name, from, to })
  }
  for (const { of, name, number, hash } of now.chains) {
    const old = before.chains.find((one) => one.of === of)
    const words = (one: { name: string; number: number } | undefined): string =>
      one === undefined || one.number === 0 ? '' : `${one.name} v${one.number}`
    if (old?.hash !== hash && !(old === undefined && number === 0)) {
      changes.push({ kind: 'chain', name: of, from: words(old), to: words({ name, number }) })
    }
  }
  const groups = (one: DeliverySource) =>
    one.groups.map((group) => ({ ...group, id: isForeign ? group.name : group.id }))
  compare(groups(before), groups(now), {
    added: ({ name }) => note('group-added', name, null, name),
    removed: ({ name }) => note('group-removed', name, name, null),
    kept: (old, group) => note('group-gain', group.name, old.gainDb, group.gainDb),
  })
  const layerName = ({ group, name }: { group: string; name: string }): string => `${group} ${name}`
  const layers = (one: DeliverySource) =>
    one.layers.map((layer) => ({ ...layer, id: isForeign ? layerName(layer) : layer.id }))
  compare(layers(before), layers(now), {
    added: (layer) => note('layer-added', layerName(layer), null, layer.take),
    removed: (layer) => note('layer-removed', layerName(layer), layer.take, null),
    kept(old, layer) {
      const name = layerName(layer)
      if (old.takeSha256 !== layer.takeSha256) note('layer-take', name, old.take, layer.take)
      note('layer-gain', name, old.gainDb, layer.gainDb)
      note('layer-pan', name, old.pan, layer.pan)
      note('layer-polarity', name, Number(old.polarityInverted ?? 0), Number(layer.polarityInverted ?? 0))
      note('layer-offset', name, old.offsetSamples, layer.offsetSamples)
    },
  })
  const named = (markers: DeliverySource['markers']) =>
    markers.map((marker) => ({ ...marker, id: marker.name }))
  compare(named(before.markers), named(now.markers), {
    added: ({ name }) => note('section-added', name, null, name),
    removed: ({ name }) => note('section-removed', name, name, null),
    kept: (old, { name, startFrame, frames }) =>
      note('section-moved', name, `${old.startFrame}+${old.frames}`, `${startFrame}+${frames}`),
  })
  note('tempo', '', before.tempo, now.tempo)
  note('range', '', before.range, now.range)
  note('contents', '', contentsWords(before.contents), contentsWords(now.contents))
  note('template', '', before.template, now.template)
  note('rate', '', before.sampleRateHz, now.sampleRateHz)
  note('depth', '', before.encoding, now.encoding)
  note('program', '', before.program, now.program)
  return changes
}

const contentsWords = (contents: DeliveryContents): string =>
  Object.entries(contents)
    .filter(([, isIn]) => isIn)
    .map(([name]) => name)
    .join(', ')

function compare<T extends { readonly id: number | string }>(
  before: readonly T[],
  now: readonly T[],
  note: { added(one: T): void; removed(one: T): void; kept(old: T, one: T): void },
): void {
  for (const one of now) {
    const old = before.find(({ id }) => id === one.id)
    if (old === undefined) note.added(one)
    else note.kept(old, one)
  }
  for (const old of before) if (!now.some(({ id }) => id === old.id)) note.removed(old)
}
