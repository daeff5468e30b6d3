// Merges what is known of takes. Their sound does not come with a history: a take that is new here is missing until
// its file is found by its hash.

import type { Take } from '../../contract/entities.ts'
import type { History } from '../../contract/exchange/history.ts'
import { hashOfValue } from '../../history/canonical-json.ts'
import { validState } from '../../history/lineage.ts'
import type { State } from '../../history/states.ts'
import { curveContent, expectedPath } from './gather-history.ts'
import { findCurve } from './merge-mics.ts'
import { adoptStates, mergeStates } from './merge-states.ts'
import { type Merging, noteAdded } from './merging.ts'

type TakeValues = History['takes'][number]['states'][number]['values']

/** Takes in the order of their import, so that they are in it here as well. */
export function mergeTakes(merging: Merging): void {
  const { takes } = merging.catalogue
  const inOrder = merging.entries.history.takes.toSorted(
    (a, b) => Date.parse(a.importedAt) - Date.parse(b.importedAt),
  )
  for (const { states: theirs, fileName, ...take } of inOrder) {
    const states = theirs.map(
      (state): State<TakeValues> => ({ ...state, values: asHere(merging, state.values) }),
    )
    const known = takes.findBySha256(take.sha256)
    const { values } = validState(states)
    if (known === undefined) {
      const { id } = takes.insert({
        ...take,
        ...rowsOf(merging, values),
        path: expectedPath(take.sha256, fileName),
      })
      adoptStates(merging, { subject: 'takes', id }, states)
      noteAdded(merging, 'take', values.name)
      continue
    }
    mergeStates(
      merging,
      { subject: 'takes', id: known.id, kind: 'take', name: known.name, madeAt: known.importedAt },
      valuesOf(merging, known),
      states,
      {
        rule: 'newest',
        write: (newer) => takes.update(known.id, rowsOf(merging, newer)),
        describe: ({ name, voice, mic }) => describe(merging, name, voice, mic),
      },
    )
  }
}

/** What the history refers to, by the identities that it has here; null for what is not here. */
function asHere({ catalogue }: Merging, { name, voice, mic, curve }: TakeValues): TakeValues {
  const { identities } = catalogue
  const here = (table: 'voices' | 'mics', uuid: string | null): string | null => {
    const row = uuid === null ? undefined : identities.rowOf(table, uuid)
    return row === undefined ? null : (identities.uuidOf(table, row) ?? null)
  }
  const micHere = here('mics', mic)
  return { name, voice: here('voices', voice), mic: micHere, curve: micHere === null ? null : curve }
}

function rowsOf(
  merging: Merging,
  { name, voice, mic, curve }: TakeValues,
): Pick<Take, 'name' | 'voiceId' | 'micId' | 'curveId'> {
  const { identities } = merging.catalogue
  const micId = mic === null ? null : (identities.rowOf('mics', mic) ?? null)
  return {
    name,
    voiceId: voice === null ? null : (identities.rowOf('voices', voice) ?? null),
    micId,
    curveId: micId === null || curve === null ? null : (findCurve(merging, micId, curve)?.id ?? null),
  }
}

function valuesOf({ catalogue }: Merging, take: Take): TakeValues {
  const { identities, curves } = catalogue
  const { name, voiceId, micId, curveId } = take
  return {
    name,
    voice: voiceId === null ? null : (identities.uuidOf('voices', voiceId) ?? null),
    mic: micId === null ? null : (identities.uuidOf('mics', micId) ?? null),
    curve: curveId === null ? null : hashOfValue(curveContent(curves.get(curveId))),
  }
}

function describe({ catalogue }: Merging, name: string, voice: string | null, mic: string | null): string {
  const { identities, voices, mics } = catalogue
  const voiceId = voice === null ? undefined : identities.rowOf('voices', voice)
  const micId = mic === null ? undefined : identities.rowOf('mics', mic)
  const parts = [name]
  if (voiceId !== undefined) parts.push(voices.get(voiceId).name)
  if (micId !== undefined) parts.push(mics.get(micId).name)
  return parts.join(', ')
}
