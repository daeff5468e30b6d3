// The recall sheet of a delivery: everything from which the session can be built again with only the takes at hand.
// Figures have all their digits.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { DeliveredFile } from '../../contract/delivery/delivery-manifest.ts'
import { type SheetSection, sheetPage } from '../../formats/sheet/sheet-page.ts'
import { tempoWords } from '../../words/bars/bar-words.ts'
import { deliveryChangesWords, versionWord } from '../../words/deliveries.ts'
import { formatRate } from '../../words/format.ts'
import { PAN_LAW_WORDS } from '../../words/pan-law.ts'
import type { PlannedDelivery } from './plan-delivery.ts'
import { chainSection, curveSection } from './sheet/chain-sections.ts'
import { fileSection } from './sheet/file-section.ts'
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
  const { described, contents, number, request } = planned
  const { session } = contents
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
          [
            'This delivery',
            `${planned.folderName}: ${described.span.name === '' ? 'the whole song' : described.span.name}, from sample ${described.span.startFrame} for ${described.span.frames} samples of the session; ${deliveryChangesWords(number, planned.changes)}`,
          ],
          ['Names of files', request.template],
          ...(session.notes === '' ? [] : [['Notes', session.notes] as const]),
        ],
      },
    ],
  }
  return sheetPage({
    title: session.songTitle,
    subtitle: `${session.artistName}, ${session.date}, delivery ${versionWord(number)}`,
    sections: [
      facts,
      ...sectionSection(planned),
      layerSection(planned),
      takeSection(catalogue, planned),
      chainSection(catalogue, planned),
      ...curveSection(catalogue, planned),
      fileSection(planned, files, remarks),
    ],
    footer: `${described.program.name} ${described.program.version}. Counted samples are those of the session unless said otherwise; sample 0 is the start of bar 1.`,
  })
}
