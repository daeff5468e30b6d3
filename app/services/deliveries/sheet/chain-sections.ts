// Chains on the recall sheet: every stage with every setting, and the curves that a mic correction was fitted to.

import type { Catalogue } from '../../../../db/catalogue.ts'
import type { Band, ChainStage } from '../../../contract/chain-document.ts'
import type { CurvePoints } from '../../../contract/curve.ts'
import type { ChainVersion } from '../../../contract/entities.ts'
import type { Curve } from '../../../dsp/correction/curve.ts'
import { thinCurve } from '../../../dsp/correction/thin-curve.ts'
import type { SheetBlock, SheetSection } from '../../../formats/sheet/sheet-page.ts'
import { bandsInWords, settingsInWords } from '../../../words/chain/settings-in-words.ts'
import { STAGE_NAMES } from '../../../words/chain/stage-words.ts'
import { exactNumber } from '../../../words/format.ts'
import type { SheetSubject } from './sheet-subject.ts'

/** A curve with more points, which fill two pages, is thinned for paper. */
const MOST_POINTS = 1000
/** A tenth of the last digit that data sheets print. */
const TOLERANCE_DB = 0.01

function pointsInWords(points: CurvePoints): string {
  const count = points.frequenciesHz.length
  if (count <= MOST_POINTS) return pointList(points)
  const thin = thinCurve(points, TOLERANCE_DB)
  return `${thin.frequenciesHz.length} of its ${count} points, which give all others within ${TOLERANCE_DB} dB on straight lines over the logarithm of frequency; a fit to them may differ by as much, and the fitted bands are exact: ${pointList(thin)}`
}

const pointList = ({ frequenciesHz, levelsDb }: Curve): string =>
  frequenciesHz.map((hz, k) => `${exactNumber(hz)} Hz ${exactNumber(levelsDb[k] ?? 0)}`).join('; ')

/** A fit is no setting: six decimal places are more than its curve has. */
const rounded = (band: Band): Band => ({
  ...band,
  frequencyHz: Number(band.frequencyHz.toFixed(6)),
  gainDb: Number(band.gainDb.toFixed(6)),
  q: Number(band.q.toFixed(6)),
})

const stageWords = (stage: ChainStage): string =>
  `${STAGE_NAMES[stage.kind]}${stage.on ? '' : ' (off)'}: ${settingsInWords(stage, 'exact').join('; ')}`

/** Each saved version once, with the groups that use it. */
export function chainSection(catalogue: Catalogue, { contents }: SheetSubject): SheetSection {
  const { session, groups, chainVersions } = contents
  const users = (version: ChainVersion): string =>
    session.chainSharing === 'shared'
      ? 'all groups'
      : groups
          .filter(({ chainVersionId }) => chainVersionId === version.id)
          .map(({ name }) => name)
          .join(', ')
  const used = chainVersions.filter((version) =>
    session.chainSharing === 'shared' ? version.id === session.sharedChainVersionId : users(version) !== '',
  )
  const without =
    session.chainSharing === 'shared'
      ? []
      : groups.filter(({ chainVersionId }) => chainVersionId === null).map(({ name }) => name)
  const blocks = used.flatMap((version): SheetBlock[] => [
    {
      kind: 'heading',
      text: `${users(version)}: ${version.chainName}, version ${version.number} (${version.sha256.slice(0, 12)})`,
    },
    { kind: 'text', text: `Voice: ${catalogue.voices.get(version.voiceId).name}` },
    ...(version.note === '' ? [] : [{ kind: 'text' as const, text: version.note }]),
    { kind: 'list', isNumbered: true, items: version.stages.map(stageWords) },
    ...version.stages.flatMap((stage): SheetBlock[] =>
      stage.kind === 'mic-correction' && stage.settings.target !== null
        ? [
            {
              kind: 'small',
              text: `Target ${stage.settings.target.name}, dB: ${pointsInWords(stage.settings.target.curve)}`,
            },
          ]
        : [],
    ),
  ])
  const isBare = session.chainSharing === 'shared' && used.length === 0
  return {
    title: 'Chains',
    blocks: [
      ...blocks,
      ...(without.length === 0
        ? []
        : [{ kind: 'text' as const, text: `Without a chain: ${without.join(', ')}.` }]),
      ...(isBare ? [{ kind: 'text' as const, text: 'No chain.' }] : []),
    ],
  }
}

/** Mic corrections as they run on each layer, and the curves of the mics; none where no layer has one. */
export function curveSection(catalogue: Catalogue, { plan, contents }: SheetSubject): SheetSection[] {
  const fitted = plan.layers.flatMap((layer) => {
    const stage = layer.stages.find(({ kind }) => kind === 'mic-correction')
    return stage?.kind === 'mic-correction' ? [{ layer, bands: stage.settings.bands }] : []
  })
  if (fitted.length === 0) return []
  const byBands = Map.groupBy(fitted, ({ bands }) => bandsInWords(bands.map(rounded), 'exact').join('; '))
  const curves = new Map(
    fitted.flatMap(({ layer }) => {
      const take = contents.takes.find(({ sha256 }) => sha256 === layer.take.sha256)
      if (take?.micId === null || take?.micId === undefined) return []
      const curve =
        take.curveId === null ? catalogue.curves.firstOf(take.micId) : catalogue.curves.get(take.curveId)
      return curve === undefined ? [] : [[curve.id, curve] as const]
    }),
  )
  return [
    {
      title: 'Mic corrections as fitted',
      blocks: [
        ...[...byBands].flatMap(([words, of]): SheetBlock[] => [
          { kind: 'heading', text: of.map(({ layer }) => layer.name).join(', ') },
          { kind: 'text', text: words === '' ? 'no bands' : words },
        ]),
        ...[...curves.values()].map(
          (curve): SheetBlock => ({
            kind: 'small',
            text: `Curve ${curve.name}${curve.name.includes(curve.source) ? '' : ` (${curve.source})`}, ${curve.pattern}${curve.distanceM === null ? '' : `, at ${exactNumber(curve.distanceM)} m`}, dB: ${pointsInWords(curve.points)}`,
          }),
        ),
      ],
    },
  ]
}
