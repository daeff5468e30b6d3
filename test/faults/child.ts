// The acts that the command line does not have, as a program of their own. Says on standard
// output what was acknowledged, a line of JSON each; ends as the command line does.

import { join } from 'node:path'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { failureDataOf } from '../../app/contract/failure.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { CATALOGUE, OLD_CATALOGUE, ORIGINALS } from './template.ts'

/** Of the template. */
const SESSION_ID = 1

const [act, root] = process.argv.slice(2)
const say = (line: object): void => void process.stdout.write(`${JSON.stringify(line)}\n`)

async function inWorkplace(
  work: (handlers: ReturnType<typeof createHandlers>, sessionId: number) => Promise<void>,
): Promise<void> {
  const workplace = openWorkplace(join(root, CATALOGUE))
  try {
    await work(createHandlers(workplace), SESSION_ID)
  } finally {
    await workplace.close()
  }
}

const ACTS: Readonly<Record<string, () => Promise<void>>> = {
  import: () =>
    inWorkplace(async (handlers, sessionId) => {
      const files = ['c.flac', 'd.wav'].map((name) => ({ path: join(root, ORIGINALS, name) }))
      const { takes, refused } = await handlers.importTakes(
        { sessionId, files, voiceId: null, micId: null, curveId: null },
        context,
      )
      for (const { sha256 } of takes) say({ take: sha256 })
      for (const { failure } of refused) process.stderr.write(`${failure.message}\n`)
      if (refused.length > 0) process.exitCode = 2
    }),

  save: () =>
    inWorkplace(async (handlers) => {
      for (let n = 0; n < 3; n++) {
        const name = `Saved ${process.pid} ${n}`
        const artist = await handlers.createArtist({ name, note: '' }, context)
        say({ artist: artist.name })
        const voice = await handlers.createVoice({ artistId: artist.id, name: 'Rap', note: '' }, context)
        const version = await handlers.saveChain(
          { voiceId: voice.id, chainId: null, name, stages: Object.values(defaultStages), note: '' },
          context,
        )
        say({ chain: version.chainName })
        await handlers.createSession({ ...SESSION_FIELDS, artistId: artist.id, songTitle: name }, context)
        say({ session: name })
      }
    }),

  migrate: async () => {
    const workplace = openWorkplace(join(root, OLD_CATALOGUE))
    say({ takes: workplace.catalogue.takes.listOfSession(1).length })
    await workplace.close()
  },
}

try {
  await ACTS[act]()
} catch (error) {
  process.stderr.write(`${failureDataOf(error).message}\n`)
  process.exitCode = 2
}
