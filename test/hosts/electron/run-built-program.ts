// Runs the built desktop program in this process with Electron faked, does with it what a user does in a
// day, and prints what came of it: node run-built-program.ts <folder of out/> <work folder> <recording>

import { once } from 'node:events'
import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { createRequire, registerHooks } from 'node:module'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { connect } from '../../../app/contract/wire/connect.ts'
import { playbackRoute } from '../../../app/contract/wire/sound-routes.ts'
import type { PreloadBridge } from '../../../renderer/state/bridge.ts'
import type { FakeQuestion } from './fake-state.ts'
import type { FakeWindow } from './fake-window.ts'

const [built, work, recording] = process.argv.slice(2)
const fake = import.meta.resolve('./fake-electron.ts')
registerHooks({
  resolve: (name, context, next) =>
    name === 'electron'
      ? { url: fake, format: 'module-typescript', shortCircuit: true }
      : next(name, context),
})

const { app } = await import('./fake-electron.ts')
const { electron } = await import('./fake-state.ts')
const require = createRequire(import.meta.url)

const happens = async <T>(name: string): Promise<T> => ((await once(electron.happened, name)) as [T])[0]
/** Everything that was set off so far has happened. */
const settled = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 50))

/** Loads the window's preload script, as with each load of its page. */
function openPage(window: FakeWindow): PreloadBridge {
  const { preload } = window.options.webPreferences
  electron.page = window.webContents
  delete require.cache[preload]
  require(preload)
  return electron.exposed.get('takeloftBridge') as PreloadBridge
}

const get = (window: FakeWindow, path: string): Promise<Response> =>
  window.webContents.session.answers.get('takeloft')!(new Request(`takeloft://window${path}`))

/** Starts the program on a new catalogue, and opens its page. */
electron.switches.set('catalogue', join(work, 'catalogue.sqlite'))
const opened = happens<FakeWindow>('loaded')
await import(pathToFileURL(join(built, 'out/main/main.js')).href)
const window = await opened
let bridge = openPage(window)
let { client } = connect(bridge)

async function load() {
  const page = await get(window, '/')
  const names = [...(await page.text()).matchAll(/(?:src|href)="\.\/([^"]+)"/g)].map(([, name]) => name)
  const answers = await Promise.all(names.map((name) => get(window, `/${name}`)))
  return {
    page: page.status,
    files: names.map((name, k) => [name.replace(/-[\w-]{8}\./, '.'), answers[k].status]),
    preload: window.options.webPreferences.preload,
    programVersion: (await client.readWorkplace({})).programVersion,
  }
}

async function takeIn() {
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
  const { groups } = await client.openSession({ id: session.id })
  await client.addLayer({
    sessionId: session.id,
    groupId: groups[0].id,
    takeId: takes[0].id,
    name: 'Lead 1',
    role: 'lead',
    offsetSamples: 0,
    gainDb: 0,
    pan: 0,
    muted: false,
  })
  return { session, take: takes[0] }
}

async function play(takeId: number) {
  const { playbackId } = await client.openPlayback({
    target: { kind: 'take', takeId, sampleRateHz: 48_000 },
    draft: null,
  })
  const span = await get(window, playbackRoute(playbackId, 0, 4800))
  return {
    spanBytes: (await span.arrayBuffer()).byteLength,
    peaks: (await get(window, `/peaks/${takeId}`)).status,
  }
}

async function saveAndPrint() {
  electron.chosen = join(work, 'Mine.chain.json')
  const saved = await bridge.saveFile({ name: 'Rap main.chain.json', text: '{}\n' })
  electron.chosen = recording
  const refused = await bridge.saveFile({ name: 'Rap main.chain.json', text: '{}\n' })
  return {
    saved,
    text: readFileSync(join(work, 'Mine.chain.json'), 'utf8'),
    refused: refused !== null && 'failure' in refused ? refused.failure.code : null,
    printed: await bridge.print(),
    prints: electron.prints.length,
  }
}

/** Asks for a bounce, and goes on once it renders. */
const beginBounce = (sessionId: number, name: string): Promise<void> =>
  new Promise((resolve, reject) => {
    client
      .bounceSession(
        { sessionId, folder: join(work, 'bounced', name), encoding: 'pcm-24', layerStems: true },
        { onProgress: (_fraction, doing) => doing === 'Rendering the stems' && resolve() },
      )
      .catch(reject)
  })

/** What the page after the one that asked gets of a bounce. */
async function followBounce() {
  bridge = openPage(window)
  client = connect(bridge).client
  const [act] = await client.listBackgroundTasks({})
  const ended = await client.followBackgroundTask({ id: act.id })
  return {
    subject: act.subject,
    hadEnded: act.hasEnded,
    isThere: ended.kind === 'bounce' && existsSync(ended.outcome.manifest),
  }
}

async function reloadDuringBounce(sessionId: number) {
  await beginBounce(sessionId, 'reloaded')
  window.webContents.reload()
  return followBounce()
}

async function crashDuringBounce(sessionId: number) {
  await beginBounce(sessionId, 'crashed')
  setImmediate(() => {
    throw new Error('planted, and caught by nobody')
  })
  const asked = happens<FakeQuestion>('asked')
  window.webContents.emit('render-process-gone', {}, { reason: 'crashed', exitCode: 139 })
  const question = await asked
  question.press('Open it again')
  await settled()
  return {
    detail: question.options.detail,
    reloads: window.webContents.reloads,
    bounce: await followBounce(),
    bounces: (await client.listBounces({})).length,
  }
}

async function openSecondCatalogue() {
  const loaded = happens<FakeWindow>('loaded')
  app.emit('second-instance', {}, [], work, { catalogue: join(work, 'second', 'catalogue.sqlite') })
  const second = await loaded
  const page = connect(openPage(second))
  const { cataloguePath } = await page.client.readWorkplace({})
  return { second, cataloguePath, artists: (await page.client.listArtists({})).length }
}

async function closeUnsaved(second: FakeWindow) {
  second.webContents.isUnsaved = true
  const press = async (button: string): Promise<number> => {
    const asked = happens<FakeQuestion>('asked')
    second.close()
    ;(await asked).press(button)
    await settled()
    return electron.windows.length
  }
  return { kept: await press('Keep editing'), closed: await press('Close without saving') }
}

async function quitDuringBounce(sessionId: number) {
  electron.page = window.webContents
  await beginBounce(sessionId, 'cancelled')
  const ask = async (): Promise<FakeQuestion> => {
    const asked = happens<FakeQuestion>('asked')
    app.quit()
    return asked
  }
  const first = await ask()
  first.press('Keep working')
  await settled()
  const stillThere = electron.windows.length
  const ended = happens<number>('exit')
  const second = await ask()
  second.press('Quit anyway')
  app.quit()
  return { detail: first.options.detail, stillThere, status: await ended }
}

mkdirSync(join(work, 'bounced'))
const loaded = await load()
const { session, take } = await takeIn()
const played = await play(take.id)
const saved = await saveAndPrint()
const reloaded = await reloadDuringBounce(session.id)
const crashed = await crashDuringBounce(session.id)
const { second, ...secondCatalogue } = await openSecondCatalogue()
const unsaved = await closeUnsaved(second)
const quit = await quitDuringBounce(session.id)
process.stdout.write(
  JSON.stringify({
    loaded,
    take: { frames: take.frames, sha256: take.sha256 },
    played,
    saved,
    reloaded,
    crashed,
    secondCatalogue,
    unsaved,
    quit,
    bounced: readdirSync(join(work, 'bounced')).sort(),
    log: readFileSync(join(electron.paths.get('logs')!, 'takeloft.log'), 'utf8'),
  }),
)
