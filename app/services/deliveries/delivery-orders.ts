// Which files a delivery renders, and how: processed stems, unprocessed takes at their places, the reference.

import type { DeliveryContents, DeliveryEncoding } from '../../contract/delivery/delivery-request.ts'
import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import { ditherSeedOf } from '../../dsp/conversion/dither.ts'
import { unitsOf } from '../../engine/rendering/render-unit.ts'
import type { FileSpan } from '../../engine/rendering/stem-output.ts'
import { fileIdentity } from '../bounces/file-identity.ts'
import { isExact } from '../bounces/stem-orders.ts'
import { isInSpan } from '../sessions/span-of-range.ts'
import type { DeliveredStem } from './delivered-stem.ts'
import { type createNamer, FOLDERS, type NamedFile } from './delivery-names.ts'

/** The files that are rendered; the first two for each unit of their plan. */
export interface DeliveryOrders {
  readonly processed: readonly (readonly DeliveredStem[])[]
  /** Of `unprocessedPlan`. */
  readonly aligned: readonly (readonly DeliveredStem[])[]
  readonly reference: DeliveredStem | null
  /** Of each unit, where they are known from a manifest. */
  readonly ceilingTrimsDb?: readonly number[]
}

/** The plan without any processing: takes and passages at their places, at their own level and polarity. */
export const unprocessedPlan = (plan: RenderPlan): RenderPlan => ({
  ...plan,
  sharing: 'own',
  sharedStages: [],
  groups: plan.groups.map((group) => ({ ...group, gainDb: 0, stages: [] })),
  layers: plan.layers.map(({ passages, polarityInverted: _, ...layer }) => ({
    ...{ ...layer, gainDb: 0, pan: 0, stages: [] },
    ...(passages === undefined
      ? {}
      : {
          passages: {
            ...passages,
            furtherTakes: passages.furtherTakes.map(({ take }) => ({ take, stages: [] })),
          },
        }),
  })),
})

/** @param namer names every file once */
export function orderDelivery(
  plan: RenderPlan,
  span: FileSpan,
  encoding: DeliveryEncoding,
  contents: DeliveryContents,
  namer: ReturnType<typeof createNamer>,
): DeliveryOrders {
  const order = (
    stem: Pick<DeliveredStem, 'kind' | 'sourceId' | 'delivered' | 'name' | 'channels'>,
    named: Pick<NamedFile, 'folder' | 'kind' | 'part' | 'layer' | 'role' | 'take'>,
    exact: boolean,
  ): DeliveredStem => {
    const { path, floatPath } = namer.name({
      ...named,
      sampleRateHz: span.sampleRateHz,
      encoding,
      extension: '.wav',
    })
    const identity = fileIdentity(plan, span, path)
    return {
      ...stem,
      file: path,
      floatFile: floatPath,
      encoding,
      ditherSeed: encoding === 'float-32' || exact ? null : ditherSeedOf(identity),
      originatorReference: identity.slice(0, 32),
      ceilingTrimDb: null,
    }
  }
  const sounding = (layer: PlannedLayer): boolean => isInSpan(layer, plan.sampleRateHz, span)
  const groupName = (layer: PlannedLayer): string =>
    plan.groups.find(({ id }) => id === layer.groupId)?.name ?? ''
  const layerOrder = (delivered: 'layer' | 'aligned', layer: PlannedLayer, exact: boolean): DeliveredStem => {
    const part = partOf(groupName(layer), layer.name)
    return order(
      { kind: 'layer', sourceId: layer.id, delivered, name: part, channels: channelsOfLayer(layer) },
      {
        folder: delivered === 'layer' ? FOLDERS.processed : FOLDERS.aligned,
        kind: delivered === 'layer' ? 'Wet' : 'Aligned',
        ...{ part, layer: layer.name, role: layer.role },
      },
      exact,
    )
  }

  const processed = unitsOf(plan).map((unit) => [
    ...(contents.groups ? unit.groups : [])
      .filter(({ id }) => unit.layers.some((layer) => layer.groupId === id && sounding(layer)))
      .map(({ id, name }) =>
        order(
          { kind: 'group', sourceId: id, delivered: 'group', name, channels: 2 },
          { folder: FOLDERS.processed, kind: 'Wet', part: name },
          false,
        ),
      ),
    ...(contents.layers ? unit.layers : [])
      .filter(sounding)
      .map((layer) => layerOrder('layer', layer, isExact(plan, unit, layer, encoding, span.sampleRateHz))),
  ])
  const dry = unprocessedPlan(plan)
  const aligned = unitsOf(dry).map((unit) =>
    (contents.aligned ? unit.layers : [])
      .filter(sounding)
      .map((layer) => layerOrder('aligned', layer, isExact(dry, unit, layer, encoding, span.sampleRateHz))),
  )
  const reference = contents.reference
    ? order(
        { kind: 'group', sourceId: 0, delivered: 'reference', name: 'Stack', channels: 2 },
        { folder: FOLDERS.reference, kind: 'Ref', part: 'Stack' },
        false,
      )
    : null
  return { processed, aligned, reference }
}

/** Group and layer in one name; a layer that is called like its group is not said twice. */
const partOf = (group: string, layer: string): string =>
  layer.toLowerCase().startsWith(group.toLowerCase()) ? layer : `${group} ${layer}`
