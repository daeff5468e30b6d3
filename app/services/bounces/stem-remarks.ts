// What a mix engineer has to know about the stems of a bounce, as sentences for its manifest.

import { roughLayerStems } from '../../contract/layer-stems.ts'
import type { Stem } from '../../contract/manifest.ts'
import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import { stagesOfUnit, unitsOf } from '../../engine/rendering/render-unit.ts'
import { fileWord } from '../../formats/names/file-words.ts'
import type { StemToWrite } from './stem-orders.ts'

/** A true peak this far over a ceiling is within the figure for any input. */
const CEILING_TOLERANCE_DB = 0.3

/** A sentence for each set of groups whose names give one file name. */
export function sharedNameRemarks(stems: readonly Pick<StemToWrite, 'kind' | 'name' | 'file'>[]): string[] {
  const groups = stems.filter(({ kind }) => kind === 'group')
  const byWord = Map.groupBy(groups, ({ name }) => fileWord(name).toLowerCase())
  return [...byWord.values()]
    .filter((same) => same.length > 1)
    .map((same) => {
      const files = same.map(({ file }) => file)
      const names = [...new Set(same.map(({ name }) => `“${name}”`))].join(' and ')
      return `${same.length} groups are named ${names}; their stems, in the order of the stack, are ${files.slice(0, -1).join(', ')} and ${files.at(-1)}.`
    })
}

/** The sentence about layer stems that do not add up exactly, where there are any. */
export function roughStemRemarks(plan: RenderPlan): string[] {
  const sentence = roughLayerStems(
    unitsOf(plan).map((unit) => ({
      names: unit.groups.map(({ name }) => name),
      stages: stagesOfUnit(plan, unit),
      layers: unit.layers.map((layer) => ({ pan: layer.pan, channels: channelsOfLayer(layer) })),
    })),
  )
  return sentence === null ? [] : [sentence]
}

/** Sentences about stems whose encoding or ceiling is not the one asked for. */
export function formatRemarks(stems: readonly Stem[], wanted: Stem['encoding']): string[] {
  return [
    ...stems
      .filter((stem) => stem.encoding !== wanted)
      .map((stem) => `${stem.file} is 32-bit float, because it would have clipped in 24 bits.`),
    ...stems
      .filter((stem) => stem.kind === 'group' && stem.ceilingTrimDb > 0)
      .map(
        (stem) =>
          `${stem.file}: the ceiling was set ${stem.ceilingTrimDb} dB lower, because peaks between samples would have passed it.`,
      ),
  ]
}

/**
 * The sentence about layer stems that pass the ceiling. Their chain limits the sum of the layers, so a layer that
 * others cancel there is turned down by less than it would be alone.
 */
export function overCeilingRemarks(plan: RenderPlan, stems: readonly Stem[]): string[] {
  const over = unitsOf(plan).flatMap((unit) => {
    const last = stagesOfUnit(plan, unit).at(-1)
    if (last?.kind !== 'ceiling') return []
    return unit.layers.flatMap((layer) => {
      const stem = stems.find(({ kind, sourceId }) => kind === 'layer' && sourceId === layer.id)
      const groupDb = unit.groups.find(({ id }) => id === layer.groupId)?.gainDb ?? 0
      const byDb = (stem?.truePeakDbtp ?? -Infinity) - last.settings.ceilingDbtp - groupDb
      return stem !== undefined && byDb > CEILING_TOLERANCE_DB ? [{ file: stem.file, byDb }] : []
    })
  })
  if (over.length === 0) return []
  const files = over.map(({ file }) => file)
  const most = Math.max(...over.map(({ byDb }) => byDb)).toFixed(1)
  return [
    `${files.join(', ')}: ${files.length === 1 ? 'passes' : 'pass'} the ceiling by up to ${most} dB, because layers cancel each other in the sum that the ceiling limits.`,
  ]
}
