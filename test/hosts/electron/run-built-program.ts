// Runs the built desktop program in this process with Electron faked, and prints what a page of
// its window gets to see: node run-built-program.ts <built folder> <catalogue> <recording>

import { once } from 'node:events'
import { createRequire, registerHooks } from 'node:module'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { connect } from '../../app/contract/connect.ts'
import { playbackRoute } from '../../app/contract/sound-routes.ts'
import type { PreloadBridge } from '../../renderer/bridge.ts'

const [built, catalogue, recording] = process.argv.slice(2)
const fake = import.meta.resolve('./fake-electron.ts')
registerHooks({
  resolve: (name, context, next) =>
    name === 'electron'
      ? { url: fake, format: 'module-typescript', shortCircuit: true }
      : next(name, context),
})

const { app, electron } = await import('./fake-electron.ts')
electron.switches.set('catalogue', catalogue)
const loaded = once(electron.loaded, 'loaded')
await import(pathToFileURL(join(built, 'out/main/main.js')).href)
await loaded
const [window] = electron.windows
electron.page = window.webContents
const { preload } = window.options.webPreferences as { preload: string }
createRequire(import.meta.url)(preload)
const { client } = connect(electron.exposed.get('takeloftBridge') as PreloadBridge)

const get = (path: string): Promise<Response> =>
  electron.answers.get('takeloft')!(new Request(`takeloft://window${path}`))
const page = await (await get('/')).text()
const assets = [...page.matchAll(/(?:src|href)="(?:\.?\/)(assets\/[^"]+)"/g)].map(([, name]) => name)
const statuses = await Promise.all(assets.map(async (name) => (await get(`/${name}`)).status))

const { programVersion } = await client.readWorkplace({})
const artist = await client.createArtist({ name: 'Maren Holt', note: '' })
const session = await client.createSession({
  artistId: artist.id,
  songTitle: 'Seven Stairs',
  date: '2026-03-01',
  sampleRateHz: 48_000,
  tempoBpm: null,
  beatsPerBar: 4,
  notes: '',
  panLaw: 'minus-3-db',
  startOfDayS: 3600,
  chainSharing: 'own',
})
const { takes } = await client.importTakes({
  sessionId: session.id,
  files: [{ path: recording }],
  voiceId: null,
  micId: null,
  curveId: null,
})
const { playbackId } = await client.openPlayback({
  target: { kind: 'take', takeId: takes[0].id, sampleRateHz: 48_000 },
  draft: null,
})
const span = await (await get(playbackRoute(playbackId, 0, 4800))).arrayBuffer()
const peaks = await get(`/peaks/${takes[0].id}`)

const ended = once(electron.ended, 'exit')
app.emit('window-all-closed')
const [status] = (await ended) as [number]
process.stdout.write(
  JSON.stringify({
    preload,
    assets: statuses,
    programVersion,
    take: { frames: takes[0].frames, sha256: takes[0].sha256 },
    spanBytes: span.byteLength,
    peaksStatus: peaks.status,
    status,
  }),
)
