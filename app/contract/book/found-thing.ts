// What a search over everything finds: takes, sessions, versions of chains, voices, mics and bounces.

import { z } from 'zod'
import { FoundTake, Id } from '../entities.ts'

const found = <const K extends string>(kind: K) =>
  z.object({
    kind: z.literal(kind),
    id: Id,
    /** Where words were found that name and place do not have, shortened; empty if nowhere else. */
    excerpt: z.string(),
  })

/** One result, with what it takes to open it. */
export const FoundThing = z.discriminatedUnion('kind', [
  found('session').extend({ artistName: z.string(), songTitle: z.string(), date: z.string() }),
  found('voice').extend({ artistName: z.string(), name: z.string() }),
  found('chain-version').extend({
    artistName: z.string(),
    voiceName: z.string(),
    chainId: Id,
    chainName: z.string(),
    number: z.int(),
    /** A session that uses it; null if none does. */
    sessionId: Id.nullable(),
  }),
  found('bounce').extend({
    artistName: z.string(),
    songTitle: z.string(),
    sessionId: Id,
    manifestPath: z.string(),
    createdAt: z.iso.datetime(),
  }),
  found('mic').extend({ name: z.string() }),
  found('take').extend({
    ...FoundTake.pick({ artistName: true, songTitle: true, sessionDate: true, micName: true }).shape,
    name: z.string(),
    sessionId: Id.nullable(),
  }),
])
export type FoundThing = z.infer<typeof FoundThing>
