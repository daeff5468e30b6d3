// What each fault is tried on: a folder with takes, a catalogue with a stack and a delivery of it,
// a catalogue of an older form, a chain, and everything the program writes elsewhere.

import { execFileSync } from 'node:child_process'
import { cpSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createWaveWriter } from '../../app/audio/wave/wave-writer.ts'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { whiteNoise } from '../signals/noise.ts'

export const ORIGINALS = 'originals'
export const CATALOGUE = 'catalogue.sqlite'
export const OLD_CATALOGUE = 'old.sqlite'
export const CHAIN = 'chain.json'
/** A delivery that was made before anything failed. */
export const DELIVERED = 'out'

const KEPT_CATALOGUE = join(import.meta.dirname, '../kept/manifest-1/catalogue.sqlite')
const FRAMES = 20_000

/** Fills an empty folder. The demo's takes are made too where the demo is tried. */
export async function makeTemplate(root: string): Promise<void> {
  for (const name of [ORIGINALS, 'cache', 'tmp']) mkdirSync(join(root, name), { recursive: true })
  const original = (name: string, seed: number): string => {
    const path = join(root, ORIGINALS, name)
    const writer = createWaveWriter(path, {
      sampleRateHz: 48_000,
      channels: 1,
      encoding: 'pcm-24',
      ditherSeed: null,
    })
    writer.write([whiteNoise(FRAMES, seed)], FRAMES)
    writer.finish()
    return path
  }
  const [a, b] = [original('a.wav', 1), original('b.wav', 2)]
  original('d.wav', 4)
  execFileSync('flac', ['-s', original('c.wav', 3), '-o', join(root, ORIGINALS, 'c.flac')], {
    stdio: 'ignore',
  })
  cpSync(KEPT_CATALOGUE, join(root, OLD_CATALOGUE))
  const stages = Object.values(defaultStages)
  writeFileSync(
    join(root, CHAIN),
    JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'All', stages }),
  )

  const workplace = openWorkplace(join(root, CATALOGUE))
  try {
    const handlers = createHandlers(workplace)
    const artist = await handlers.createArtist({ name: 'Invented', note: '' }, context)
    const session = await handlers.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Song' },
      context,
    )
    const { takes } = await handlers.importTakes(
      { sessionId: session.id, files: [{ path: a }, { path: b }], voiceId: null, micId: null, curveId: null },
      context,
    )
    const groups = workplace.catalogue.groups.listOfSession(session.id)
    for (const [k, take] of takes.entries()) {
      await handlers.addLayer(
        {
          sessionId: session.id,
          groupId: groups[k].id,
          takeId: take.id,
          name: take.name,
          role: 'lead',
          offsetSamples: 0,
          gainDb: -6,
          pan: 0,
          muted: false,
        },
        context,
      )
    }
    await handlers.bounceSession(
      { sessionId: session.id, folder: join(root, DELIVERED), encoding: 'pcm-24', layerStems: false },
      context,
    )
  } finally {
    await workplace.close()
  }
}
