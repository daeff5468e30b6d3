// Queries of everything the window shows, each with the subjects that invalidate it.

import { queryOptions, useQuery } from '@tanstack/react-query'
import type { InputOf } from '../../app/contract/wire/commands.ts'
import { client } from './connection.ts'
import { useSelection } from './selection.ts'

/** Version, folders and warnings of the services. */
export const workplaceQuery = queryOptions({
  queryKey: ['workplace'],
  queryFn: () => client.readWorkplace({}),
  meta: { subjects: ['artists', 'sessions'] },
})
/** All artists. */
export const artistsQuery = queryOptions({
  queryKey: ['artists'],
  queryFn: () => client.listArtists({}),
  meta: { subjects: ['artists'] },
})
/** Voices of one artist, or of all artists without an id. */
export const voicesQuery = (artistId: number | undefined) =>
  queryOptions({
    queryKey: ['voices', artistId ?? null],
    queryFn: () => client.listVoices(artistId === undefined ? {} : { artistId }),
    meta: { subjects: ['artists'] },
  })
/** All mics. */
export const micsQuery = queryOptions({
  queryKey: ['mics'],
  queryFn: () => client.listMics({}),
  meta: { subjects: ['mics'] },
})
/** All curves. */
export const curvesQuery = queryOptions({
  queryKey: ['curves'],
  queryFn: () => client.listCurves({}),
  meta: { subjects: ['mics'] },
})
/** All sessions, newest first. */
export const sessionsQuery = queryOptions({
  queryKey: ['sessions'],
  queryFn: () => client.listSessions({}),
  meta: { subjects: ['sessions', 'artists', 'takes'] },
})
/** Artists, voices, songs and sessions with what depends on each. */
export const peopleQuery = queryOptions({
  queryKey: ['people and songs'],
  queryFn: () => client.listPeopleAndSongs({}),
  meta: { subjects: ['sessions', 'artists', 'takes', 'stack', 'chains', 'ledger'] },
})
/** Settings of a session that other computers have set otherwise. */
export const otherSettingsQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['other settings', sessionId],
    queryFn: () => client.listOtherSettings({ sessionId }),
    meta: { subjects: ['sessions', 'stack', 'chains'] },
  })
/** Earlier sessions with chains of the voices of one, newest first. */
export const earlierSessionsQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['earlier sessions', sessionId],
    queryFn: () => client.listEarlierSessions({ sessionId }),
    meta: { subjects: ['sessions', 'takes', 'stack', 'artists'] },
  })
/** Chain versions that each session is set to. */
export const sessionChainsQuery = queryOptions({
  queryKey: ['session chains'],
  queryFn: () => client.listSessionChains({}),
  meta: { subjects: ['sessions', 'stack', 'chains'] },
})
/** A session with its groups, layers, takes and the chain versions in use. */
export const sessionContentsQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['session contents', sessionId],
    queryFn: () => client.openSession({ id: sessionId }),
    meta: { subjects: ['sessions', 'takes', 'stack', 'chains'] },
  })
/** Of each kind; a search with more is one for more letters. */
export const MOST_FOUND = 30
/** How often files are looked for: disks come and go without an event. */
const LOOK_AGAIN_MS = 10_000
/** Takes of a session whose files are missing. */
export const missingTakesQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['missing takes', sessionId],
    queryFn: () => client.listMissingTakes({ sessionId }),
    meta: { subjects: ['takes'] },
    refetchInterval: LOOK_AGAIN_MS,
    refetchOnWindowFocus: 'always',
  })
/** Chains of one voice, or of all voices without an id. */
export const chainsQuery = (voiceId: number | undefined) =>
  queryOptions({
    queryKey: ['chains', voiceId ?? null],
    queryFn: () => client.listChains(voiceId === undefined ? {} : { voiceId }),
    meta: { subjects: ['chains'] },
  })
/** All versions of one chain. */
export const chainVersionsQuery = (chainId: number) =>
  queryOptions({
    queryKey: ['chain versions', chainId],
    queryFn: () => client.listChainVersions({ chainId }),
    meta: { subjects: ['chains'] },
  })
/** The first page of takes of all sessions, newest first. */
export const foundTakesQuery = (request: Omit<InputOf<'findTakes'>, 'offset'>) =>
  queryOptions({
    queryKey: ['found takes', request],
    queryFn: () => client.findTakes({ ...request, offset: 0 }),
    meta: { subjects: ['takes', 'sessions', 'artists', 'mics'] },
  })
/** Bounces that match a request. */
export const bouncesQuery = (request: InputOf<'listBounces'>) =>
  queryOptions({
    queryKey: ['bounces', request],
    queryFn: () => client.listBounces(request),
    meta: { subjects: ['ledger', 'artists'] },
  })
/** What a delivery would write. */
export const deliveryPreviewQuery = (request: InputOf<'previewDelivery'>) =>
  queryOptions({
    queryKey: ['delivery preview', request],
    queryFn: () => client.previewDelivery(request),
    meta: { subjects: ['sessions', 'takes', 'stack', 'chains', 'mics', 'ledger', 'artists'] },
  })
/** Levels of the stems of a bounce. A delivered manifest does not change. */
export const bounceLevelsQuery = (bounceId: number) =>
  queryOptions({
    queryKey: ['bounce levels', bounceId],
    queryFn: () => client.readBounceLevels({ bounceId }),
  })
/** Levels of the whole stack of a bounce, rendered again. */
export const bounceStackQuery = (bounceId: number) =>
  queryOptions({
    queryKey: ['bounce stack', bounceId],
    queryFn: ({ signal }) => client.measureBounce({ bounceId }, { signal }),
  })
/** The newest `limit` entries of the ledger, of one artist or of all. */
export const ledgerQuery = (artistId: number | undefined, limit: number) =>
  queryOptions({
    queryKey: ['ledger', artistId ?? null, limit],
    queryFn: () => client.listLedger(artistId === undefined ? { limit } : { artistId, limit }),
    meta: { subjects: ['ledger', 'takes', 'chains', 'sessions', 'artists'] },
  })

/** Markers in the files of the layers of a session, at their places. */
export const fileMarkersQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['file markers', sessionId],
    queryFn: () => client.listFileMarkers({ sessionId }),
    meta: { subjects: ['takes', 'stack'] },
  })

/** The deliveries of a session, newest first. */
export const deliveriesQuery = (sessionId: number) =>
  queryOptions({
    queryKey: ['deliveries', sessionId],
    queryFn: () => client.listDeliveries({ sessionId }),
    meta: { subjects: ['ledger', 'sessions', 'artists'] },
  })

/** The book of a voice. */
export const voiceBookQuery = (voiceId: number) =>
  queryOptions({
    queryKey: ['voice book', voiceId],
    queryFn: () => client.readVoiceBook({ voiceId }),
    meta: { subjects: ['ledger', 'takes', 'chains', 'stack', 'sessions', 'artists', 'mics'] },
  })

/** What a search over everything finds. */
export const everythingQuery = (search: string) =>
  queryOptions({
    queryKey: ['everything', search],
    queryFn: () => client.searchEverything({ search, limit: MOST_FOUND }),
    meta: { subjects: ['ledger', 'takes', 'chains', 'stack', 'sessions', 'artists', 'mics'] },
    placeholderData: (before) => before,
  })

/** Contents of the open session; `data` is undefined until they have been read. */
export const useCurrentSession = () => {
  const { sessionId } = useSelection()
  return useQuery({ ...sessionContentsQuery(sessionId ?? 0), enabled: sessionId !== null })
}
