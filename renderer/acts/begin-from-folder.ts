// From a folder of files to a stack that sounds, without a question: artist, song and voice are named after the folder,
// the files are imported, and placed by their time stamps and by the roles that their names tell.

import { type Role, SESSION_RATES_HZ } from '../../app/contract/entities.ts'
import { Failure } from '../../app/contract/failure.ts'
import { MAX_LAYERS } from '../../app/contract/text/limits.ts'
import { countOf } from '../../app/words/numbers.ts'
import {
  type FoundFile,
  NEW_VOICE,
  namesOfFolder,
  roleInFolder,
  sortedFiles,
  TAKE_TYPES,
} from '../formats/folder-names.ts'
import { commonest, HEAD_BYTES, headerRateHz } from '../formats/header-rate.ts'
import { NEW_SESSION_START_S, today } from '../formats/new-session.ts'
import { stampedPlace, startForStamps, timeStampS } from '../formats/time-stamp.ts'
import { client } from '../state/connection.ts'
import { remark, reportFailure } from '../state/notices.ts'
import { sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { goTo } from '../state/selection.ts'
import { importBatch } from './batch-acts.ts'
import { chooseNewSession } from './choose-new-session.ts'
import { createSession } from './people-acts.ts'
import { placeTakes } from './place-acts.ts'

/** Role of takes whose name and folder tell none; no chain of a lead exists that it could be wrong for. */
const DEFAULT_ROLE: Role = 'lead'

type SessionRate = (typeof SESSION_RATES_HZ)[number]
const isSessionRate = (rateHz: number | null): rateHz is SessionRate =>
  SESSION_RATES_HZ.some((one) => one === rateHz)

/** The rate that most of the files have, so that as few as possible are converted. */
async function rateOf(files: readonly FoundFile[]): Promise<SessionRate> {
  const rates = await Promise.all(
    files.map(async ({ file }) => {
      const head = await file
        .slice(0, HEAD_BYTES)
        .arrayBuffer()
        .catch(() => new ArrayBuffer(0))
      return headerRateHz(head)
    }),
  )
  return commonest(rates.filter(isSessionRate)) ?? 48_000
}

/**
 * Creates the session and shows it in Stack, then imports and places the files; each part is an undo step of its own.
 * What cannot be read is named in one line, and the rest goes on.
 * @param folder its name, and its files with the folders between it and them
 * @returns whether layers were placed; a failure has become a notice
 */
export async function beginFromFolder(folder: {
  readonly name: string
  readonly files: readonly FoundFile[]
}): Promise<boolean> {
  const { sound, others } = sortedFiles(folder.files)
  const title = 'No session was made from the folder'
  const where = folder.name === '' ? 'What was dropped' : `The folder ${folder.name}`
  if (sound.length === 0) {
    const types = TAKE_TYPES.map((type) => type.slice(1)).join(', ')
    reportFailure(title, new Failure('invalid-input', `${where} has no sound file (${types}).`))
    return false
  }
  if (sound.length > MAX_LAYERS) {
    const many = `${where} has ${sound.length} sound files, and a session takes ${MAX_LAYERS} layers. Choose the folder of one song.`
    reportFailure(title, new Failure('invalid-input', many))
    return false
  }
  try {
    return await begin(folder.name, sound, others)
  } catch (error) {
    reportFailure('The stack was not made from the folder', error)
    return false
  }
}

async function begin(
  folderName: string,
  sound: readonly FoundFile[],
  others: readonly string[],
): Promise<boolean> {
  const { artistName, songTitle } = namesOfFolder(folderName)
  // Where the artist is known, the song is one more of theirs.
  const known = (await client.listArtists({})).find(({ name }) => name === artistName)
  const sessionId = await createSession({
    artistId: known?.id ?? null,
    artistName,
    voiceName: known === undefined ? NEW_VOICE : '',
    fields: {
      songTitle,
      date: today(),
      sampleRateHz: await rateOf(sound),
      tempoBpm: null,
      beatsPerBar: 4,
      notes: '',
      panLaw: 'minus-3-db',
      startOfDayS: NEW_SESSION_START_S,
      chainSharing: 'own',
    },
  })
  await chooseNewSession(sessionId)
  goTo('stack')
  const contents = () => queryClient.fetchQuery({ ...sessionContentsQuery(sessionId), staleTime: 0 })
  const { session } = await contents()
  const voices = await client.listVoices({ artistId: session.artistId })
  await importBatch(
    sessionId,
    sound.map(({ file }) => file),
    { voiceId: voices.length === 1 ? voices[0].id : null, micId: null, curveId: null },
  )
  const imported = await contents()
  const { takes } = imported
  if (takes.length === 0) return false
  const placings = takes.map((take) => ({ take, role: roleInFolder(take.name, sound), groupId: null }))
  const areInSong = takes.every((take) => stampedPlace(take, session)?.isInSong !== false)
  const start = areInSong ? session.startOfDayS : (startForStamps(takes) ?? session.startOfDayS)
  const isPlaced = await placeTakes(
    imported,
    placings.map((placing) => ({ ...placing, role: placing.role ?? DEFAULT_ROLE })),
    start,
  )
  if (!isPlaced) return false
  const roleless = placings.filter(({ role }) => role === null).length
  const outside = takes.filter(
    (take) => timeStampS(take) !== null && !stampedPlace(take, { ...session, startOfDayS: start })!.isInSong,
  ).length
  const unread = [...others, ...unreadOf(sound, takes.length)]
  remark(
    `${countOf(takes.length, 'layer')} of ${songTitle}: Space plays`,
    ...(known === undefined
      ? [
          `${session.artistName}, the song and the voice are named after the folder; rename them in People and songs.`,
        ]
      : []),
    ...(roleless === 0 ? [] : [`${countOf(roleless, 'name')} told no role: placed as lead.`]),
    ...(outside === 0 ? [] : [`${countOf(outside, 'time stamp')} outside the song: placed at its start.`]),
    ...(unread.length === 0 ? [] : [`Not taken in: ${unread.join(', ')}.`]),
  )
  return true
}

/** Sound files that gave no take; the report in Intake says why. */
const unreadOf = (sound: readonly FoundFile[], taken: number): string[] =>
  taken >= sound.length ? [] : [`${countOf(sound.length - taken, 'sound file')}, reasons in Intake`]
