// The facts of a take of ordinary size, for catalogues whose takes are not measured one by one.

import type { TakeFacts } from '../../app/contract/take-facts.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { speechTake } from './material.ts'
import { inRoot } from './places.ts'
import { buildSessions } from './stack-session.ts'

/**
 * What the program finds out about a minute of speech.
 * @param folder for a catalogue of its own, from the top of the tree
 */
export async function factsOfSpeech(folder: string): Promise<TakeFacts> {
  const path = `${folder}/one.sqlite`
  const layers = [{ take: speechTake(60, 0), group: 'Lead' } as const]
  await buildSessions(path, [{ title: 'One', layers, stages: [], sharing: 'own' }])
  const workplace = openWorkplace(inRoot(path))
  try {
    return workplace.catalogue.takes.get(1).facts
  } finally {
    await workplace.close()
  }
}
