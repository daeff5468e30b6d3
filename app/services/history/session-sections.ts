// The sections of a session, as every computer has them.

import type { Catalogue } from '../../../db/catalogue.ts'
import type { SessionSections } from '../../contract/exchange/history.ts'
import { canonicalJson } from '../../history/canonical-json.ts'
import { compareText } from '../../history/states.ts'
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
