// What the contract's types must refuse. Never run: `npm run check:types` fails where a
// line marked as an error is none.

import type { ChainDocument, ChainStage } from '../../app/contract/chain-document.ts'
import { Failure } from '../../app/contract/failure.ts'
import type { EventOf, Handlers, InputOf, OutputOf } from '../../app/contract/wire/commands.ts'
import type { Connection } from '../../app/contract/wire/connect.ts'
import type { Message } from '../../app/contract/wire/port.ts'

export async function refused({ client, on }: Connection): Promise<void> {
  // @ts-expect-error there is no such command
  await client.createBand({ name: 'x' })
  // @ts-expect-error a name is needed
  await client.createArtist({ note: '' })
  // @ts-expect-error an id is a number
  await client.openSession({ id: '1' })
  // @ts-expect-error a rate is one of four
  const rate: InputOf<'createSession'>['sampleRateHz'] = 22_050
  // @ts-expect-error an encoding is one of two
  await client.bounceSession({ sessionId: 1, folder: '', encoding: 'pcm-16', layerStems: false })
  // @ts-expect-error the answer is an artist, which has no title
  const title: string = (await client.createArtist({ name: 'x', note: '' })).title
  // @ts-expect-error there is no such event
  on('artistSaved', () => {})
  // @ts-expect-error subjects are a closed set
  const event: EventOf<'catalogueChanged'> = { subjects: ['weather'] }
  // @ts-expect-error a failure's code is one of a closed set
  throw new Failure('broken', `${rate} ${title} ${event}`)
}

// @ts-expect-error a handler answers with what its command says
export const wrongAnswer: Handlers['createArtist'] = async () => ({ id: 1, name: 'x' })

// @ts-expect-error every command needs its handler
export const tooFew: Handlers = { createArtist: async (fields) => ({ id: 1, ...fields }) }

// @ts-expect-error settings belong to their kind of stage
export const wrongSettings: ChainStage = { kind: 'trim', on: true, settings: { ratio: 4 } }

export const wrongVersion: ChainDocument = {
  format: 'takeloft-chain',
  // @ts-expect-error this program's format is version 1
  version: 2,
  name: 'x',
  stages: [],
}

// @ts-expect-error a message is one of six kinds
export const wrongMessage: Message = { type: 'shout', id: 1 }

// @ts-expect-error a verification names stems, it does not count them
export const wrongOutput: OutputOf<'verifyBounce'> = { same: 3, differing: [] }
