// The artist returns: a new session that sounds like an earlier one, on today's mic, from the files of today.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainVersion, Mic, SessionContents } from '../../app/contract/entities.ts'
import { formatDate } from '../../app/words/format.ts'
import { countOf } from '../../app/words/numbers.ts'
import { carryDifference } from '../formats/recall/carry-words.ts'
import { planRecall } from '../formats/recall/plan-recall.ts'
import { curveOf, leadTakeOf } from '../formats/recall/returning.ts'
import { guessRole } from '../formats/role-guess.ts'
import { client } from '../state/connection.ts'
import { reportFailure } from '../state/notices.ts'
import { curvesQuery, micsQuery, sessionContentsQuery } from '../state/queries.ts'
import { queryClient } from '../state/query-client.ts'
import { goTo } from '../state/selection.ts'
import type { ImportSettings } from '../state/take-desk.ts'
import { importBatch } from './batch-acts.ts'
import { chooseNewSession } from './choose-new-session.ts'
import { createSession } from './people-acts.ts'
import { placeTakes } from './place-acts.ts'
import { applyRecall } from './recall-acts.ts'

export interface Return {
  readonly artistId: number
  /** The session whose sound comes back. */
  readonly thenId: number
  /** A chain version in place of those of that session; null for theirs. */
  readonly pinnedVersionId: number | null
  readonly songTitle: string
  /** yyyy-mm-dd */
  readonly date: string
  /** What the takes of today get. */
  readonly settings: ImportSettings
  readonly files: readonly File[]
}

/** What a return did, sentence by sentence; shown above the stack until it is dismissed. */
const reports = createStore<Readonly<Record<number, readonly string[] | null>>>()(() => ({}))
export const useReturnReport = (sessionId: number): readonly string[] | null =>
  useStore(reports, (state) => state[sessionId] ?? null)
export const dismissReturnReport = (sessionId: number): void => reports.setState({ [sessionId]: null })
const tell = (sessionId: number, sentence: string): void =>
  reports.setState((state) => ({ [sessionId]: [...(state[sessionId] ?? []), sentence] }))

const read = (sessionId: number): Promise<SessionContents> =>
  queryClient.fetchQuery({ ...sessionContentsQuery(sessionId), staleTime: 0 })

/**
 * Creates the session and shows it in Stack, then imports and places the files, carries the chains to today's mic and
 * sets groups, gains and pans as they were. Each part is an undo step of its own.
 * @returns once the session is there; the rest goes on and reports itself
 * @throws Failure of the services while nothing was made
 */
export async function beginReturn(wanted: Return): Promise<void> {
  const then = await read(wanted.thenId)
  const { sampleRateHz, panLaw, startOfDayS, chainSharing } = then.session
  const sessionId = await createSession({
    artistId: wanted.artistId,
    artistName: '',
    voiceName: '',
    fields: {
      songTitle: wanted.songTitle,
      date: wanted.date,
      sampleRateHz,
      // Another song has another tempo.
      tempoBpm: null,
      beatsPerBar: 4,
      notes: '',
      panLaw,
      startOfDayS,
      chainSharing,
    },
  })
  await chooseNewSession(sessionId)
  goTo('stack')
  void fill(sessionId, then, wanted).catch((error: unknown) =>
    reportFailure('The session does not sound as before yet', error),
  )
}

async function fill(sessionId: number, then: SessionContents, wanted: Return): Promise<void> {
  // The chains are carried while the files are read.
  const [carried] = await Promise.all([
    carryChains(sessionId, then, wanted),
    importBatch(sessionId, wanted.files, wanted.settings),
  ])
  const imported = await read(sessionId)
  const placings = imported.takes.flatMap((take) => {
    const role = guessRole(take.name)
    return role === null ? [] : [{ take, role, groupId: null }]
  })
  await placeTakes(imported, placings)
  const unclear = imported.takes.length - placings.length
  if (unclear > 0) {
    const tells = unclear === 1 ? 'name of 1 take does' : `names of ${unclear} takes do`
    tell(sessionId, `The ${tells} not tell a role; place ${unclear === 1 ? 'it' : 'them'} in Intake.`)
  }
  const now = await read(sessionId)
  const label = `as on ${formatDate(then.session.date)}`
  const { steps, unmatched } = planRecall(now, carried)
  await applyRecall(now, steps, label)
  tell(sessionId, `Set ${label}: ${countOf(steps.length, 'change')}.`)
  if (unmatched.length > 0) {
    tell(
      sessionId,
      `No counterpart then, so placed at 0 dB: ${unmatched.map(({ name }) => name).join(', ')}.`,
    )
  }
}

/** The earlier session with its chains as they are to be used on today's mic. */
async function carryChains(
  sessionId: number,
  then: SessionContents,
  { settings, pinnedVersionId }: Return,
): Promise<SessionContents> {
  const [curves, mics] = await Promise.all([
    queryClient.fetchQuery(curvesQuery),
    queryClient.fetchQuery(micsQuery),
  ])
  const chosen = pinnedVersionId === null ? then : withVersion(then, await versionOf(then, pinnedVersionId))
  const takeThen = leadTakeOf(then)
  const fromId = takeThen === undefined ? null : curveOf(takeThen, curves)
  const toId = curveOf(settings, curves)
  const fromName = nameOf(takeThen?.micId ?? null, mics)
  const toName = nameOf(settings.micId, mics)
  if (takeThen?.micId === settings.micId && fromId === toId) {
    tell(sessionId, `Same mic as then, ${toName}: the chains stay as they are.`)
    return chosen
  }
  if (fromId === null || toId === null) {
    const lacking = toId === null ? toName : fromName
    tell(sessionId, `${lacking} has no curve, so the chains were not carried; add its curve in Mics.`)
    return chosen
  }
  let result = chosen
  for (const version of usedVersions(chosen)) {
    const plan = await client.planCarry({
      chainVersionId: version.id,
      fromCurveId: fromId,
      toCurveId: toId,
      aim: null,
      limits: {},
      sampleRateHz: then.session.sampleRateHz,
    })
    const difference = `${fromName} to ${toName}: ${carryDifference(plan)}`
    if (plan.changesChain) {
      const saved = await client.saveChain({
        voiceId: version.voiceId,
        chainId: version.chainId,
        name: version.chainName,
        stages: plan.stages,
        note: `Carried from ${difference}.`,
      })
      result = replaceVersion(result, version.id, saved)
      tell(sessionId, `${version.chainName} carried from ${difference}, saved as version ${saved.number}.`)
    } else {
      tell(sessionId, `${version.chainName}, version ${version.number}, carried from ${difference}.`)
    }
    for (const sentence of plan.remarks) tell(sessionId, sentence)
  }
  return result
}

const nameOf = (micId: number | null, mics: readonly Mic[]): string =>
  mics.find(({ id }) => id === micId)?.name ?? 'a mic that is not named'

/** The versions that its groups, or all of them together, are set to. */
function usedVersions({ session, groups, chainVersions }: SessionContents): readonly ChainVersion[] {
  const ids =
    session.chainSharing === 'shared'
      ? [session.sharedChainVersionId]
      : groups.map(({ chainVersionId }) => chainVersionId)
  return chainVersions.filter(({ id }) => ids.includes(id))
}

function replaceVersion(contents: SessionContents, id: number, by: ChainVersion): SessionContents {
  const swap = (versionId: number | null): number | null => (versionId === id ? by.id : versionId)
  return {
    ...contents,
    session: { ...contents.session, sharedChainVersionId: swap(contents.session.sharedChainVersionId) },
    groups: contents.groups.map((group) => ({ ...group, chainVersionId: swap(group.chainVersionId) })),
    chainVersions: [...contents.chainVersions, by],
  }
}

async function versionOf(then: SessionContents, versionId: number): Promise<ChainVersion | undefined> {
  for (const chainId of new Set(then.chainVersions.map((one) => one.chainId))) {
    const found = (await client.listChainVersions({ chainId })).find(({ id }) => id === versionId)
    if (found !== undefined) return found
  }
  return undefined
}

/** Every version of the pinned one's chain is replaced by it. */
const withVersion = (then: SessionContents, pinned: ChainVersion | undefined): SessionContents =>
  pinned === undefined
    ? then
    : then.chainVersions
        .filter(({ chainId, id }) => chainId === pinned.chainId && id !== pinned.id)
        .reduce((result, { id }) => replaceVersion(result, id, pinned), then)
