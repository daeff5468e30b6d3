// Documents in the bag of a session, for people and programs that know nothing of Takeloft.

import type { InfoLine } from '../../bag/bag-texts.ts'
import type { SessionContents } from '../../contract/entities.ts'
import { SESSION_FORMAT, SESSION_VERSION } from '../../contract/exchange/session-document.ts'
import { PROGRAM } from '../program.ts'
import {
  PAYLOAD_BOUNCES,
  PAYLOAD_DELIVERIES,
  PAYLOAD_HISTORY,
  PAYLOAD_SESSION,
  PAYLOAD_SHEET,
  PAYLOAD_STEMS,
  PAYLOAD_TAKES,
} from './bag-layout.ts'

/** Names the kind of bag; no address of the web is needed to read one. */
const PROFILE = 'urn:takeloft:session-archive:1'

export const infoLines = (
  { session }: SessionContents,
  uuid: string,
  at: string,
  oxum: string,
): InfoLine[] => [
  ['Source-Organization', session.artistName],
  ['External-Description', `${session.songTitle}, session of ${session.date}`],
  ['Bagging-Date', at.slice(0, 10)],
  ['External-Identifier', `urn:uuid:${uuid}`],
  ['Payload-Oxum', oxum],
  ['Bag-Group-Identifier', session.artistName],
  ['BagIt-Profile-Identifier', PROFILE],
  ['Bag-Software-Agent', `${PROGRAM.name} ${PROGRAM.version}`],
]

/** The session as JSON for readers; Takeloft itself restores from the history. */
export const sessionDocument = (
  { session, takes, groups, layers, sections, chainVersions }: SessionContents,
  uuid: string,
  fileOf: (sha256: string) => string,
): string =>
  `${JSON.stringify(
    {
      format: SESSION_FORMAT,
      version: SESSION_VERSION,
      program: PROGRAM,
      uuid,
      session,
      takes: takes.map(({ path: _path, copies: _copies, facts: _facts, ...take }) => ({
        ...take,
        file: fileOf(take.sha256),
      })),
      groups,
      layers,
      sections,
      chainVersions,
    },
    null,
    2,
  )}\n`

/** How to get at everything with general-purpose programs. */
export const readmeText = ({ session }: SessionContents, hasStems: boolean): string =>
  `Archive of a vocal session: ${session.artistName}, ${session.songTitle}, ${session.date}
Made by ${PROGRAM.name} ${PROGRAM.version} as a bag of BagIt 1.0 (RFC 8493).

To check that nothing has changed, in the folder that contains bagit.txt:
  sha256sum -c manifest-sha256.txt tagmanifest-sha256.txt
  (macOS: shasum -a 256 -c manifest-sha256.txt tagmanifest-sha256.txt)

To restore it:
  takeloft restore THIS_FOLDER --catalogue CATALOGUE_FILE --takes FOLDER_FOR_TAKES

To restore it by hand, without Takeloft:
  1. ${PAYLOAD_TAKES}/ has the takes as they were recorded, byte for byte. The name of each begins with the first
     12 digits of its SHA-256.
${
  hasStems
    ? `  2. ${PAYLOAD_STEMS}/ has the processed stems. All begin at the same moment: put them at the start of a new
     session at ${session.sampleRateHz} Hz. manifest.json beside them has every setting of the processing.`
    : '  2. The session had no sound in its stack, so there are no stems.'
}
  3. ${PAYLOAD_SHEET} is the recall sheet, for a browser or paper: sections of the song, layers with their places,
     gains and pans, takes with their mics, chains with every setting. The session can be built again from it and
     the takes.
  4. ${PAYLOAD_SESSION} has the same for programs: which take lies from which sample (offsetSamples, at
     ${session.sampleRateHz} Hz), with which gain and pan.
  5. ${PAYLOAD_HISTORY} is a zip file with the history of the voices as JSON: chains with all versions, mics, curves.
  6. ${PAYLOAD_BOUNCES}/ and ${PAYLOAD_DELIVERIES}/, where they are there, have what went out before, each in a folder
     as it was, with its own manifest.json.
`
