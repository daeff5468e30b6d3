// The recall sheet in the bag of a session: from it and the takes the session can be built again without any program
// of ours.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { SessionContents, Take } from '../../contract/entities.ts'
import type { Stem } from '../../contract/manifest.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { SheetSection } from '../../formats/sheet/sheet-page.ts'
import { formatLevel } from '../../words/format.ts'
import { markersOf } from '../deliveries/markers.ts'
import { sessionSheet } from '../deliveries/recall-sheet.ts'
import { PAYLOAD_STEMS, PAYLOAD_TAKES } from './bag-layout.ts'

/** @param fileOf the file of a take in the bag, by its hash */
export function bagSheet(
  catalogue: Catalogue,
  contents: SessionContents,
  plan: RenderPlan,
  stems: readonly Stem[],
  fileOf: (sha256: string) => string,
): string {
  return sessionSheet(
    catalogue,
    {
      ...{ contents, plan, markers: markersOf(contents) },
      fileOf: ({ sha256 }: Take) => fileOf(sha256),
    },
    { what: 'archive', facts: [['Takes', `in ${PAYLOAD_TAKES}, as recorded`]], files: stemSection(stems) },
  )
}

function stemSection(stems: readonly Stem[]): SheetSection {
  if (stems.length === 0) {
    return {
      title: 'Stems',
      blocks: [{ kind: 'text', text: 'The stack has no sound, so there are no stems.' }],
    }
  }
  return {
    title: 'Stems',
    blocks: [
      {
        kind: 'table',
        head: ['File', 'Group', 'Loudness', 'Range', 'True peak', 'Sample peak'],
        figures: [2, 3, 4, 5],
        names: [0],
        rows: stems.map((stem) => [
          stem.file,
          stem.name,
          formatLevel(stem.integratedLufs, 'LUFS'),
          formatLevel(stem.loudnessRangeLu, 'LU'),
          formatLevel(stem.truePeakDbtp, 'dBTP'),
          formatLevel(stem.samplePeakDbfs, 'dBFS'),
        ]),
      },
      {
        kind: 'list',
        items: [
          `They are in ${PAYLOAD_STEMS}, 24-bit unless their manifest says otherwise, and all begin at the same sample.`,
          'Added at unity gain, they are the stack as heard.',
        ],
      },
    ],
  }
}
