// The sections of a session, as every computer has them.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { SessionSections } from '../../contract/exchange/history.ts'
import { MAX_SECTIONS } from '../../contract/sections/section.ts'
import { canonicalJson } from '../../history/canonical-json.ts'
import { compareText, type State } from '../../history/states.ts'
import { withUnions } from '../../history/unions.ts'
import { differingParts } from './session-settings.ts'

type SectionInHistory = SessionSections['sections'][number]

/** Sections without ids, in an order that does not depend on them. */
export function sessionSections(catalogue: Catalogue, sessionId: number): SessionSections {
  const sections = catalogue.sections
    .listOfSession(sessionId)
    .map(({ name, startSamples, lengthSamples, note }) => ({ name, startSamples, lengthSamples, note }))
  return { sections: sections.sort(compareSections) }
}

const compareSections = (a: SectionInHistory, b: SectionInHistory): number =>
  a.startSamples - b.startSamples ||
  b.lengthSamples - a.lengthSamples ||
  compareText(canonicalJson(a), canonicalJson(b))

/** Gives the session these sections. Those that it has already keep their ids. */
export function writeSections(catalogue: Catalogue, sessionId: number, { sections }: SessionSections): void {
  const lacking = sections.map((section) => ({ section, key: canonicalJson(section) }))
  for (const { id, sessionId: _, ...here } of catalogue.sections.listOfSession(sessionId)) {
    const key = canonicalJson(here)
    const at = lacking.findIndex((one) => one.key === key)
    if (at < 0) catalogue.sections.remove(id)
    else lacking.splice(at, 1)
  }
  for (const { section } of lacking) catalogue.sections.insert({ ...section, sessionId })
}

/**
 * Joins what several computers changed of the sections, for mergeStates.
 * @param madeAt when the session was made, without sections
 */
export const unitedSections =
  (madeAt: string) =>
  (states: readonly State<SessionSections>[]): State<SessionSections>[] =>
    withUnions(states, { at: madeAt, machine: '', parents: [], values: { sections: [] } }, uniteSections)

/**
 * What either added, without what either removed. A section that neither has any more was changed on both if one of them
 * added what the other did not: which section became which is not stored.
 */
function uniteSections(
  base: SessionSections,
  a: SessionSections,
  b: SessionSections,
): SessionSections | null {
  const [before, ofA, ofB] = [base, a, b].map(byKey) as [Keyed, Keyed, Keyed]
  const lost = [...before.keys()].some((key) => !ofA.has(key) && !ofB.has(key))
  const isAdded = ([key]: readonly [string, SectionInHistory]): boolean => !before.has(key)
  const addedToA = [...ofA].filter(isAdded)
  const addedToB = [...ofB].filter(isAdded)
  const added = new Map([...addedToA, ...addedToB])
  if (lost && (added.size > addedToA.length || added.size > addedToB.length)) return null
  const stayed = [...before].filter(([key]) => ofA.has(key) && ofB.has(key))
  const sections = [...stayed, ...added].map(([, section]) => section)
  return sections.length > MAX_SECTIONS ? null : { sections: sections.sort(compareSections) }
}

type Keyed = ReadonlyMap<string, SectionInHistory>

/** By content; equal ones are counted, so that none is lost. */
function byKey({ sections }: SessionSections): Keyed {
  const keyed = new Map<string, SectionInHistory>()
  for (const section of sections) {
    let count = 0
    while (keyed.has(`${count} ${canonicalJson(section)}`)) count++
    keyed.set(`${count} ${canonicalJson(section)}`, section)
  }
  return keyed
}

/** What of the sections differs from the others. */
export const differingSections = (sections: SessionSections, others: SessionSections): string =>
  differingParts(sections.sections.map(wordsOf), others.sections.map(wordsOf))

const wordsOf = ({ name, startSamples, lengthSamples, note }: SectionInHistory): string => {
  const range =
    lengthSamples === 0
      ? `${name} at sample ${startSamples}`
      : `${name} from sample ${startSamples}, ${lengthSamples} samples`
  return note === '' ? range : `${range} (${note.slice(0, 80)})`
}
