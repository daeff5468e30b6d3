// Merging of histories in words.

import type { HistoryConflict, HistoryItem } from '../contract/exchange/conflict.ts'
import { countOf } from './numbers.ts'

const KIND_WORDS: Readonly<Record<HistoryItem['kind'], readonly [string, string]>> = {
  artist: ['artist', 'artists'],
  voice: ['voice', 'voices'],
  mic: ['mic', 'mics'],
  curve: ['curve', 'curves'],
  song: ['song', 'songs'],
  chain: ['chain', 'chains'],
  version: ['chain version', 'chain versions'],
  take: ['take', 'takes'],
  session: ['session', 'sessions'],
  bounce: ['bounce', 'bounces'],
  delivery: ['delivery', 'deliveries'],
  note: ['line of the ledger', 'lines of the ledger'],
}

/** One difference between two computers, in a sentence without a full stop. Plain ASCII apart from names. */
export function conflictWords({ conflict, kind, name, details }: HistoryConflict): string {
  const what = KIND_WORDS[kind][0]
  switch (conflict) {
    case 'two-ways':
      return `the ${what} ${name} was edited on both computers: ${details.join(' and ')}; both are kept`
    case 'value':
      return `the ${what} ${name} was changed on both computers: ${details[0]} is newer, ${details[1]} is kept here`
    case 'settings':
      return `the ${what} ${name} was set differently on two computers; ${details[0]} is valid here, ${details[1]} is kept`
    case 'same-name':
      return `there are two ${KIND_WORDS[kind][1]} called ${name}; merge them if they are the same`
    case 'waits':
      return `the ${what} ${name} waits for ${details.join(', ')}, which it was made from and which is not here`
    case 'refused':
      return `the ${what} ${name} is not what its hash says and was left out`
    case 'session-waits':
      return `the session ${name} was not taken in: ${versionsWords(details)} missing or damaged in the file; importing a whole export brings it`
    case 'settings-wait':
      return `the session ${name} stays set as it is here: ${versionsWords(details)} missing or damaged in the file; importing a whole export brings its settings`
  }
}

const versionsWords = (versions: readonly string[]): string =>
  versions.length === 1 ? `chain version ${versions[0]} is` : `chain versions ${versions.join(', ')} are`

/** What is new, by kind: '2 chain versions, 1 take'; 'nothing new' for an empty list. */
export function addedWords(items: readonly HistoryItem[]): string {
  const counts = new Map<HistoryItem['kind'], number>()
  for (const { kind } of items) counts.set(kind, (counts.get(kind) ?? 0) + 1)
  if (counts.size === 0) return 'nothing new'
  return [...counts].map(([kind, count]) => countOf(count, ...KIND_WORDS[kind])).join(', ')
}
