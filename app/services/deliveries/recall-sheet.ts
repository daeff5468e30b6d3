// The recall sheet of a delivery: everything from which the session can be built again with only the takes at hand.
// Figures have all their digits.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { DeliveredFile } from '../../contract/delivery/delivery-manifest.ts'
import { type SheetSection, sheetPage } from '../../formats/sheet/sheet-page.ts'
import { tempoWords } from '../../words/bars/bar-words.ts'
import { deliveryChangesWords, versionWord } from '../../words/deliveries.ts'
import { formatRate } from '../../words/format.ts'
import { PAN_LAW_WORDS } from '../../words/pan-law.ts'
import { PROGRAM } from '../program.ts'
import type { PlannedDelivery } from './plan-delivery.ts'
import { chainSection, curveSection } from './sheet/chain-sections.ts'
import { fileSection } from './sheet/file-section.ts'
import type { SheetSubject } from './sheet/sheet-subject.ts'
import { layerSection, sectionSection } from './sheet/song-sections.ts'
import { takeSection } from './sheet/take-section.ts'

/** Seconds since midnight: 01:00:00. */
const timeOfDay = (seconds: number): string =>
  [3600, 60, 1].map((unit) => String(Math.floor(seconds / unit) % 60).padStart(2, '0')).join(':')

/** @param files sound files of the delivery @param remarks as in the manifest */
export function recallSheet(
  catalogue: Catalogue,
  planned: PlannedDelivery,
  files: readonly DeliveredFile[],
  remarks: readonly string[],
): string {
  const { described, contents, number, request, raw } = planned
  const { span, plan, markers } = described
  return sessionSheet(
    catalogue,
    {
      ...{ contents, plan, markers },
      fileOf: (take) =>
        raw
          .find((one) => one.take.id === take.id)
          ?.path.split('/')
          .at(-1) ?? 'not in this delivery',
    },
    {
      what: `delivery ${versionWord(number)}`,
      facts: [
        [
          'This delivery',
          `${planned.folderName}: ${span.name === '' ? 'the whole song' : span.name}, from sample ${span.startFrame} for ${span.frames} samples of the session; ${deliveryChangesWords(number, planned.changes)}`,
        ],
        ['Names of files', request.template],
      ],
      files: fileSection(planned, files, remarks),
    },
  )
}

/** A session on paper, with what is beside the sheet. */
export function sessionSheet(
  catalogue: Catalogue,
  subject: SheetSubject,
  {
    what,
    facts: more,
    files,
  }: {
    /** As in 'delivery v02'. */
    readonly what: string
    readonly facts: readonly (readonly [name: string, value: string])[]
    readonly files: SheetSection
  },
): string {
  const { session } = subject.contents
  const artist = catalogue.artists.list().find(({ id }) => id === session.artistId)
  const facts: SheetSection = {
    title: 'Session',
    blocks: [
      {
        kind: 'facts',
        facts: [
          ['Artist', artist?.note ? `${session.artistName}: ${artist.note}` : session.artistName],
          ['Song', session.songTitle],
          ['Date', session.date],
          ['Sample rate', `${formatRate(session.sampleRateHz)} (${session.sampleRateHz} Hz)`],
          ['Tempo', `${tempoWords(session)}${session.tempoBpm === null ? '' : ' (quarter notes a minute)'}`],
          ['Song starts at', `${timeOfDay(session.startOfDayS)} (time of day of sample 0)`],
          ['Pan law', `${PAN_LAW_WORDS[session.panLaw]} at the centre`],
          [
            'Chains',
            session.chainSharing === 'shared'
              ? 'one for all groups, driven by the whole stack'
              : 'one per group',
          ],
          ...more,
          ...(session.notes === '' ? [] : [['Notes', session.notes] as const]),
        ],
      },
    ],
  }
  return sheetPage({
    title: session.songTitle,
    subtitle: `${session.artistName}, ${session.date}, ${what}`,
    sections: [
      facts,
      ...sectionSection(subject),
      layerSection(subject),
      takeSection(catalogue, subject),
      chainSection(catalogue, subject),
      ...curveSection(catalogue, subject),
      files,
    ],
    footer: `${PROGRAM.name} ${PROGRAM.version}. Counted samples are those of the session unless said otherwise; sample 0 is the start of bar 1.`,
  })
}
