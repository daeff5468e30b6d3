// Sessions to bounce: a catalogue in a folder of results, made through the program's own acts.

import { resolve } from 'node:path'
import type { ChainStage } from '../../app/contract/chain-document.ts'
import type { ChainSharing, Role, Session } from '../../app/contract/entities.ts'
import type { CallContext, Handlers } from '../../app/contract/wire/commands.ts'
import { DEMO_DYNAMIC } from '../../app/dsp/voice/demo-mics.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { inRoot } from './places.ts'

export interface StackLayer {
  /** Path of the take from the top of the tree. */
  readonly take: string
  readonly group: 'Lead' | 'Doubles' | 'Ad-libs'
}

export interface Stack {
  readonly title: string
  readonly layers: readonly StackLayer[]
  readonly stages: readonly ChainStage[]
  readonly sharing: ChainSharing
}

const ROLES: Readonly<Record<StackLayer['group'], Role>> = {
  Lead: 'lead',
  Doubles: 'double',
  'Ad-libs': 'ad-lib',
}
const context: CallContext = { signal: new AbortController().signal, report: () => {} }

/**
 * Makes the catalogue and one session for each stack.
 * @param path of the catalogue from the top of the tree
 * @returns the sessions' ids, in the order of the stacks
 */
export async function buildSessions(path: string, stacks: readonly Stack[]): Promise<number[]> {
  const workplace = openWorkplace(inRoot(path))
  try {
    const handlers = createHandlers(workplace)
    const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
    const voice = await handlers.createVoice({ artistId: artist.id, name: 'Speech', note: '' }, context)
    const micId = await addMic(handlers)
    const ids: number[] = []
    for (const stack of stacks) {
      const session = await handlers.createSession(
        {
          artistId: artist.id,
          songTitle: stack.title,
          date: '2026-10-01',
          sampleRateHz: 48_000,
          tempoBpm: 90,
          beatsPerBar: 4,
          notes: '',
          panLaw: 'minus-3-db',
          startOfDayS: 3600,
          chainSharing: stack.sharing,
        },
        context,
      )
      await placeLayers(handlers, session, stack, micId)
      await giveChain(handlers, session, stack, voice.id)
      ids.push(session.id)
    }
    return ids
  } finally {
    await workplace.close()
  }
}

async function addMic(handlers: Handlers): Promise<number> {
  const mic = await handlers.createMic(
    { name: DEMO_DYNAMIC.name, serial: '', pattern: 'cardioid', note: DEMO_DYNAMIC.note },
    context,
  )
  const { frequenciesHz, levelsDb } = DEMO_DYNAMIC.curve
  await handlers.importCurve(
    {
      micId: mic.id,
      name: 'On axis (invented)',
      source: 'invented',
      pattern: 'cardioid',
      distanceM: 0.3,
      note: '',
      text: Array.from(frequenciesHz, (frequencyHz, k) => `${frequencyHz},${levelsDb[k]}`).join('\n'),
    },
    context,
  )
  return mic.id
}

async function placeLayers(
  handlers: Handlers,
  session: Session,
  { layers }: Stack,
  micId: number,
): Promise<void> {
  const paths = [...new Set(layers.map((layer) => layer.take))].map((take) => resolve(inRoot(take)))
  const { takes, refused } = await handlers.importTakes(
    { sessionId: session.id, files: paths.map((path) => ({ path })), voiceId: null, micId, curveId: null },
    context,
  )
  if (refused.length > 0) throw new Error(refused[0].failure.message)
  const { groups } = await handlers.openSession({ id: session.id }, context)
  for (const [k, { take, group }] of layers.entries()) {
    await handlers.addLayer(
      {
        sessionId: session.id,
        groupId: groups.find((one) => one.name === group)!.id,
        takeId: takes[paths.indexOf(resolve(inRoot(take)))].id,
        name: `Layer ${k + 1}`,
        role: ROLES[group],
        // A millisecond apart and spread out, as layers of one line are.
        offsetSamples: 48 * k,
        gainDb: group === 'Lead' ? 0 : -9,
        pan: group === 'Lead' ? 0 : ((k % 5) - 2) / 2.5,
        muted: false,
      },
      context,
    )
  }
}

async function giveChain(
  handlers: Handlers,
  session: Session,
  { title, stages, sharing }: Stack,
  voiceId: number,
): Promise<void> {
  const version = await handlers.saveChain(
    { voiceId, chainId: null, name: title, stages: [...stages], note: '' },
    context,
  )
  if (sharing === 'shared') {
    await handlers.updateSession({ id: session.id, changes: { sharedChainVersionId: version.id } }, context)
    return
  }
  const { groups } = await handlers.openSession({ id: session.id }, context)
  for (const group of groups) {
    await handlers.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
  }
}
