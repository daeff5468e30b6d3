// Builds the demo in a workplace: generates the takes, imports them like any others, and stacks them.
// Building it again keeps existing entries and continues where it was interrupted.

import { existsSync } from 'node:fs'
import { join } from 'node:path'
import type { Artist, Mic } from '../../contract/entities.ts'
import { cancelledFailure, Failure } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { chainHandlers } from '../chains/chains.ts'
import { stackHandlers } from '../sessions/stack.ts'
import { intakeHandlers } from '../takes/intake.ts'
import { catalogueRoot } from '../takes/take-files.ts'
import type { Workplace } from '../workplace.ts'
import { DEMO_TARGET, FURTHER_CURVES } from './demo-curves.ts'
import { DEMO_ARTIST, DEMO_RATE_HZ, DEMO_SESSIONS, type DemoSession } from './demo-sessions.ts'

/** File name of the catalogue that `takeloft demo` makes. */
export const DEMO_CATALOGUE = 'catalogue.sqlite'

/** @returns ids of the demo's sessions, in order */
export async function buildDemo(workplace: Workplace, context: CallContext): Promise<number[]> {
  const { catalogue } = workplace
  const folder = join(catalogueRoot(catalogue.path), 'takes')
  await generateTakes(workplace, folder, context)

  const known = catalogue.artists.list().find((artist) => artist.name === DEMO_ARTIST)
  const artist =
    known ?? catalogue.artists.insert({ name: DEMO_ARTIST, note: 'Invented for the demo.' }, workplace.now())
  if (known === undefined) {
    catalogue.curves.insert({ ...DEMO_TARGET, micId: null, picture: null }, workplace.now())
  }
  const ids: number[] = []
  for (const session of DEMO_SESSIONS)
    ids.push(await buildSession(workplace, artist, session, folder, context))
  workplace.emit('catalogueChanged', {
    subjects: ['artists', 'mics', 'sessions', 'takes', 'stack', 'chains', 'ledger'],
  })
  return ids
}

const fileOf = (folder: string, take: string): string => join(folder, `${take}.wav`)

async function generateTakes(
  { pool }: Workplace,
  folder: string,
  { signal, report }: CallContext,
): Promise<void> {
  const missing = DEMO_SESSIONS.flatMap((session) =>
    session.layers.map((layer) => ({ session, layer })),
  ).filter(({ layer }) => !existsSync(fileOf(folder, layer.take)))
  let done = 0
  await Promise.all(
    missing.map(async ({ session, layer }) => {
      await pool.run(
        'renderVoiceTake',
        {
          ...layer.faults,
          path: fileOf(folder, layer.take),
          score: layer.score,
          performance: layer.performance,
          mic: session.mic,
          seed: layer.seed,
          sampleRateHz: DEMO_RATE_HZ,
          date: session.date,
        },
        { signal },
      )
      report(++done / (missing.length + 1), 'Generating the demo’s voices')
    }),
  )
}

async function buildSession(
  workplace: Workplace,
  artist: Artist,
  demo: DemoSession,
  folder: string,
  context: CallContext,
): Promise<number> {
  const { catalogue, now } = workplace
  const { createSession, updateSession, updateGroup, addLayer } = stackHandlers(workplace)
  const begun = catalogue.sessions
    .list()
    .find((one) => one.artistId === artist.id && one.songTitle === demo.song && one.date === demo.date)
  // Layers are added last, so a session that has layers counts as complete.
  if (begun !== undefined && catalogue.layers.listOfSession(begun.id).length > 0) return begun.id
  const voice =
    catalogue.voices.list(artist.id).find((one) => one.name === demo.voice) ??
    catalogue.voices.insert({ artistId: artist.id, name: demo.voice, note: 'Generated.' }, now())
  const { mic, curveId } = addMic(workplace, demo)
  const session =
    begun ??
    (await createSession(
      {
        artistId: artist.id,
        songTitle: demo.song,
        date: demo.date,
        sampleRateHz: DEMO_RATE_HZ,
        tempoBpm: demo.tempoBpm,
        beatsPerBar: 4,
        notes: demo.notes,
        panLaw: 'minus-3-db',
        startOfDayS: 3600,
        chainSharing: demo.chainSharing,
      },
      context,
    ))
  // If the voice has a chain from an earlier session, this session uses its latest version.
  const version =
    catalogue.chains.latestOfVoice(voice.id) ??
    (await chainHandlers(workplace).saveChain(
      {
        voiceId: voice.id,
        chainId: null,
        name: demo.chainName,
        stages: [...demo.stages],
        note: 'The demo’s first version.',
      },
      context,
    ))
  const groups = catalogue.groups.listOfSession(session.id)
  if (demo.chainSharing === 'shared') {
    await updateSession({ id: session.id, changes: { sharedChainVersionId: version.id } }, context)
  }
  for (const group of groups)
    await updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)

  const { takes, refused, notReached } = await intakeHandlers(workplace).importTakes(
    {
      sessionId: session.id,
      files: demo.layers.map((layer) => ({ path: fileOf(folder, layer.take) })),
      voiceId: voice.id,
      micId: mic.id,
      curveId,
    },
    context,
  )
  if (refused.length > 0) throw Failure.fromData(refused[0].failure)
  if (notReached > 0) throw cancelledFailure()
  for (const layer of demo.layers) {
    const take = takes.find((one) => one.name === layer.take)
    const group = groups.find((one) => one.name === layer.group)
    if (take === undefined || group === undefined) throw new Error(`the demo lacks ${layer.take}`)
    await addLayer(
      {
        sessionId: session.id,
        groupId: group.id,
        takeId: take.id,
        name: layer.take,
        role: layer.role,
        offsetSamples: 0,
        gainDb: layer.gainDb,
        pan: layer.pan,
        muted: false,
      },
      context,
    )
  }
  return session.id
}

function addMic({ catalogue, now }: Workplace, { mic }: DemoSession): { mic: Mic; curveId: number | null } {
  const known = catalogue.mics.list().find((one) => one.name === mic.name)
  if (known !== undefined) return { mic: known, curveId: catalogue.curves.firstOf(known.id)?.id ?? null }
  const added = catalogue.mics.insert(
    { name: mic.name, serial: '', pattern: 'cardioid', note: mic.note },
    now(),
  )
  const curve = catalogue.curves.insert(
    {
      micId: added.id,
      name: 'On axis (invented)',
      source: 'invented',
      pattern: 'cardioid',
      distanceM: 0.3,
      note: mic.note,
      points: { frequenciesHz: [...mic.curve.frequenciesHz], levelsDb: [...mic.curve.levelsDb] },
      picture: null,
    },
    now(),
  )
  for (const further of FURTHER_CURVES[mic.name] ?? []) {
    catalogue.curves.insert({ ...further, micId: added.id, picture: null }, now())
  }
  return { mic: added, curveId: curve.id }
}
