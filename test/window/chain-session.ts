// A session with one take and a chain on it, for tests of the Chain place.

import { type ChainStages, defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import type { Workplace } from '../../app/services/workplace.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'

/** Spoken words from the Debian package alsa-utils. */
export const CLIP = '/usr/share/sounds/alsa/Front_Center.wav'

/** Low-cut, a tone with one band, and opto. */
export const STAGES: ChainStages = [
  defaultStages['low-cut'],
  {
    ...defaultStages.tone,
    settings: { bands: [{ shape: 'bell', frequencyHz: 315, gainDb: -3, q: 1 }] },
  },
  defaultStages.opto,
]

/** One layer in the group Lead, and version 1 of the chain Spoken on it. */
export async function fillWithChain(workplace: Workplace, stages: ChainStages = STAGES, path = CLIP) {
  const { catalogue } = workplace
  const acts = createHandlers(workplace)
  const artist = await acts.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voice = await acts.createVoice({ artistId: artist.id, name: 'Spoken', note: '' }, context)
  const session = await acts.createSession(
    { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
    context,
  )
  const { takes } = await acts.importTakes(
    { sessionId: session.id, files: [{ path }], voiceId: voice.id, micId: null, curveId: null },
    context,
  )
  const [lead] = catalogue.groups.listOfSession(session.id)
  await acts.addLayer(
    {
      sessionId: session.id,
      groupId: lead.id,
      takeId: takes[0].id,
      name: 'Lead 1',
      role: 'lead',
      offsetSamples: 0,
      gainDb: 0,
      pan: 0,
      muted: false,
    },
    context,
  )
  const version = await acts.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Spoken', stages, note: '' },
    context,
  )
  await acts.updateGroup({ id: lead.id, changes: { chainVersionId: version.id } }, context)
  return { acts, session, voice, lead, version, take: takes[0] }
}
