// Ctrl+C, and being told to end, wherever a verb spends its time: it ends by itself with 2 and one
// sentence, and leaves neither a result nor anything in the temporary folder.

import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { CHAIN_FORMAT, defaultStages } from '../../app/contract/chain-document.ts'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { run } from '../audio/outside-tools.ts'
import { hasTool } from '../require-tool.ts'
import { context, SESSION_FIELDS } from '../services/workshop.ts'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../signals/wave-bytes.ts'
import { checkTakesUnharmed } from '../unharmed-takes.ts'
import { machineNode } from './run-takeloft.ts'
import { type Ended, type Started, startTakeloft } from './start-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-interrupts-'))
afterAll(() => {
  for (const name of ['catalogue.sqlite', 'demo/catalogue.sqlite']) checkTakesUnharmed(at(name))
  rmSync(folder, { recursive: true, force: true })
})
const at = (...names: string[]): string => join(folder, ...names)
const store = (name: string, contents: string | Uint8Array): string => {
  writeFileSync(at(name), contents)
  return at(name)
}

const RATE_HZ = 48_000
/** A second of noise, again and again. */
function longTake(name: string, seconds: number): string {
  const second = words16(randomWords(16, RATE_HZ, 8))
  return store(name, waveBytes([fmtChunk(), chunkBytes('data', Buffer.concat(Array(seconds).fill(second)))]))
}

const take = longTake('long.wav', 300)
const chain = store(
  'every.json',
  JSON.stringify({ format: CHAIN_FORMAT, version: 1, name: 'every', stages: Object.values(defaultStages) }),
)

function expectCancelled(ended: Ended): void {
  expect(ended).toMatchObject({ status: 2, stdout: '', left: [] })
  // Said where the machine is so busy that it takes longer than a second.
  const sentences = ended.sentences.filter((line) => !line.startsWith('Cancelling; press Ctrl+C again'))
  expect(sentences).toEqual([expect.stringMatching(/^(Cancelled|.* was cancelled)\b.*\.$/)])
  expect(readdirSync(folder).filter((name) => /unfinished|part|out/.test(name))).toEqual([])
}

async function interruptedAt(
  words: string,
  started: Started,
  signal: NodeJS.Signals = 'SIGINT',
): Promise<Ended> {
  await started.said(words)
  started.child.kill(signal)
  return started.ended
}

describe.each(['SIGINT', 'SIGTERM', 'SIGHUP'] as const)('%s ends', (signal) => {
  it.each<[string, string[], string]>([
    ['measure', ['measure', take], 'Measuring'],
    ['measure, levels only', ['measure', take, '--levels-only'], 'Measuring'],
    ['process', ['process', take, at('out.wav'), '--chain', chain], 'Processing'],
  ])('%s', async (_verb, words, doing) => {
    expectCancelled(await interruptedAt(doing, startTakeloft(words), signal))
  })
})

describe.each(['SIGINT', 'SIGTERM', 'SIGHUP'] as const)('%s before the program is loaded', (signal) => {
  it.each([
    ['for people', []],
    ['with JSON', ['--json']],
  ])('ends with 2 and a sentence, %s', async (_how, more) => {
    const never = store(
      'never.mjs',
      "setInterval(() => {}, 1000)\nprocess.stderr.write('loading …\\n')\nawait new Promise(() => {})\n",
    )
    const preload = store(
      'preload.mjs',
      `import { registerHooks } from 'node:module'
       registerHooks({
         resolve: (name, context, next) =>
           name === './talk.ts' ? { url: ${JSON.stringify(`file://${never}`)}, shortCircuit: true } : next(name, context),
       })`,
    )
    const started = startTakeloft(['measure', take, ...more], undefined, ['--import', preload])
    const ended = await interruptedAt('loading', started, signal)
    expect(ended).toMatchObject({ status: 2, sentences: ['Cancelled.'] })
    expect(ended.stdout).toBe(
      more.length === 0 ? '' : '{"failure":{"code":"cancelled","message":"Cancelled.","details":{}}}\n',
    )
  })
})

describe.skipIf(!hasTool('flac'))('while FLAC is unpacked, Ctrl+C ends', () => {
  const flac = at('long.flac')
  beforeAll(() => void run('flac', '-s', '-0', take, '-o', flac))

  it.each<[string, () => string[], string]>([
    ['measure', () => ['measure', flac], 'Measuring'],
    ['measure, levels only', () => ['measure', flac, '--levels-only'], 'Measuring'],
    ['process', () => ['process', flac, at('out.wav'), '--chain', chain], 'Processing'],
  ])('%s', async (_verb, words, doing) => {
    expectCancelled(await interruptedAt(doing, startTakeloft(words())))
    expect(existsSync(at('out.wav'))).toBe(false)
  })
})

describe('Ctrl+C ends', () => {
  let manifest: string
  beforeAll(async () => {
    const workplace = openWorkplace(at('catalogue.sqlite'))
    const handlers = createHandlers(workplace)
    try {
      const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
      const session = await handlers.createSession(
        { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Invented Song' },
        context,
      )
      const files = [{ path: longTake('a.wav', 60) }]
      const { takes } = await handlers.importTakes(
        { sessionId: session.id, files, voiceId: null, micId: null, curveId: null },
        context,
      )
      for (const { id } of workplace.catalogue.groups.listOfSession(session.id)) {
        await handlers.addLayer(
          {
            sessionId: session.id,
            groupId: id,
            takeId: takes[0].id,
            name: 'a',
            role: 'lead',
            offsetSamples: 0,
            gainDb: -12,
            pan: 0,
            muted: false,
          },
          context,
        )
      }
      const folderOfStems = at('stems')
      const bounce = {
        sessionId: session.id,
        folder: folderOfStems,
        encoding: 'pcm-24',
        layerStems: true,
      } as const
      manifest = (await handlers.bounceSession(bounce, context)).manifest
    } finally {
      await workplace.close()
    }
  }, 180_000)

  const bounceWords = (): string[] => [
    ...[
      'bounce',
      '--catalogue',
      at('catalogue.sqlite'),
      '--session',
      '1',
      '--out',
      at('again', 'out'),
      '--layers',
    ],
  ]
  it.each<[string, () => string[], string]>([
    ['bounce, while takes are hashed', bounceWords, 'Checking the takes'],
    ['bounce, while stems are rendered', bounceWords, 'Rendering the stems'],
    ['verify, while takes are hashed', () => ['verify', manifest], 'Checking the takes'],
    ['verify, while stems are rendered', () => ['verify', manifest], 'Rendering the stems'],
  ])('%s', async (_where, words, doing) => {
    const before = readFileSync(manifest, 'utf8')
    expectCancelled(await interruptedAt(doing, startTakeloft(words())))
    expect(existsSync(at('again'))).toBe(false)
    expect(readFileSync(manifest, 'utf8')).toBe(before)
  })

  it('demo, and the demo goes on from there the next time', async () => {
    const demo = at('demo')
    expectCancelled(await interruptedAt('Generating', startTakeloft(['demo', demo])))
    expectCancelled(await interruptedAt('1 of ', startTakeloft(['demo', demo])))
    const again = await startTakeloft(['demo', demo, '--json']).ended
    expect(again.status).toBe(0)
    expect(existsSync((JSON.parse(again.stdout) as { manifest: string }).manifest)).toBe(true)
  }, 180_000)

  it.skipIf(machineNode() === null)(
    'what the launcher started with the pinned Node, when it alone is told',
    async () => {
      const started = startTakeloft(['measure', take], machineNode()!)
      expectCancelled(await interruptedAt('Measuring', started))
    },
  )

  it('at once when it comes twice', async () => {
    const started = startTakeloft(['measure', take])
    await started.said('Measuring')
    started.child.kill('SIGINT')
    setTimeout(() => started.child.kill('SIGINT'), 200)
    expect((await started.ended).status).toBe(2)
  })
})
