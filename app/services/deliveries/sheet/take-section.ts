// Takes on the recall sheet: which file, whose voice, which mic, what was found.

import type { Catalogue } from '../../../../db/catalogue.ts'
import type { Take } from '../../../contract/entities.ts'
import type { SheetBlock, SheetSection } from '../../../formats/sheet/sheet-page.ts'
import { findingFigure, findingName } from '../../../words/findings.ts'
import { formatChannels, formatFile, formatLevel, formatRate } from '../../../words/format.ts'
import type { SheetSubject } from './sheet-subject.ts'

/** As many digits as tell all takes of a session apart. */
const HASH_DIGITS = 12

/** Every take of the session; those that no layer uses are said to be unused. */
export function takeSection(catalogue: Catalogue, { contents, fileOf }: SheetSubject): SheetSection {
  const { takes, layers, session } = contents
  const mics = catalogue.mics.list()
  const voices = catalogue.voices.list(session.artistId)
  const micOf = (take: Take): string => {
    const mic = mics.find(({ id }) => id === take.micId)
    if (mic === undefined) return 'not set'
    const curve =
      take.curveId === null ? catalogue.curves.firstOf(mic.id) : catalogue.curves.get(take.curveId)
    return [
      mic.name,
      ...(mic.serial === '' ? [] : [`serial ${mic.serial}`]),
      mic.pattern,
      curve === undefined ? 'no curve' : `curve ${curve.name}`,
    ].join(', ')
  }
  const isUsed = (take: Take): boolean => layers.some(({ takeId }) => takeId === take.id)
  const found = takes.flatMap((take) =>
    take.facts.findings.map(
      (finding) => `${take.name}: ${findingName(finding.kind)}, ${findingFigure(finding)}`,
    ),
  )
  const findings: SheetBlock[] =
    found.length === 0
      ? []
      : [
          { kind: 'heading', text: 'Findings' },
          { kind: 'list', items: found },
        ]
  return {
    title: 'Takes',
    blocks: [
      {
        kind: 'table',
        head: ['Take', 'File', 'Voice', 'Mic', 'Format', 'Samples', 'Loudness', 'SHA-256'],
        // The beginning of a hash is read out to the end, so it stays on one line.
        figures: [5, 6, 7],
        names: [1],
        rows: takes.map((take) => [
          isUsed(take) ? take.name : `${take.name} (not used)`,
          fileOf(take),
          voices.find(({ id }) => id === take.voiceId)?.name ?? 'not set',
          micOf(take),
          `${formatFile(take)}, ${formatRate(take.sampleRateHz)}, ${formatChannels(take.channels)}`,
          String(take.frames),
          formatLevel(take.facts.integratedLufs, 'LUFS'),
          take.sha256.slice(0, HASH_DIGITS),
        ]),
      },
      ...findings,
    ],
  }
}
