// Where a take is: importing the same bytes from elsewhere moves nothing, and a copy stands in
// while the file itself is gone.

import { spawn } from 'node:child_process'
import { copyFileSync, mkdirSync, rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function withTakeAndStick() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const own = writeTake(join(shop.folder, 'a.wav'), [whiteNoise(20_000, 1)])
  const [take] = await shop.takeIn(session, own)
  await shop.place(session, take)
  mkdirSync(join(shop.folder, 'stick'))
  const onStick = join(shop.folder, 'stick', 'a.wav')
  copyFileSync(own, onStick)
  const bounce = () =>
    shop.handlers.bounceSession(
      { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: false },
      context,
    )
  return { shop, session, take, own, onStick, bounce }
}

describe('the same bytes imported from a stick', () => {
  it('leave the take where it is; the stick is remembered', async () => {
    const { shop, session, take, onStick, bounce } = await withTakeAndStick()
    const [again] = await shop.takeIn(session, onStick)
    expect(again).toEqual({ ...take, copies: ['stick/a.wav'] })
    rmSync(dirname(onStick), { recursive: true })
    expect((await bounce()).stems).toHaveLength(1)
  })

  it('stand in once the file itself is gone, and the bounce verifies', async () => {
    const { shop, session, own, onStick, bounce } = await withTakeAndStick()
    await shop.takeIn(session, onStick)
    rmSync(own)
    const outcome = await bounce()
    const verified = await shop.handlers.verifyBounce({ manifestPath: outcome.manifest }, context)
    expect(verified.differing).toEqual([])
  })

  it('are the take’s place when its own file was gone before', async () => {
    const { shop, session, take, own, onStick } = await withTakeAndStick()
    rmSync(own)
    const [again] = await shop.takeIn(session, onStick)
    expect(again).toEqual({ ...take, path: 'stick/a.wav', copies: ['a.wav'] })
  })

  it('that differ in one byte do not stand in', async () => {
    const { shop, session, own, onStick, bounce } = await withTakeAndStick()
    await shop.takeIn(session, onStick)
    rmSync(own)
    rmSync(onStick)
    shop.tampered.add(onStick)
    writeTake(onStick, [whiteNoise(20_000, 2)])
    // Its own file is gone; what lies at the copy's place does not change that.
    await expect(bounce()).rejects.toMatchObject({ code: 'vanished' })
  })
})

describe('the same bytes twice at once', () => {
  it('in one import are one take, and nothing is refused', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const paths = Array.from({ length: 12 }, (_, n) => join(shop.folder, `${n}.wav`))
    for (const [n, path] of paths.entries()) writeTake(path, [whiteNoise(9000, n >> 2)])
    const outcome = await shop.handlers.importTakes(
      {
        sessionId: session.id,
        files: paths.map((path) => ({ path })),
        voiceId: null,
        micId: null,
        curveId: null,
      },
      context,
    )
    expect(outcome.refused).toEqual([])
    expect(new Set(outcome.takes.map(({ id }) => id)).size).toBe(3)
    expect(shop.workplace.catalogue.takes.listOfSession(session.id)).toHaveLength(3)
  })

  it('in two programs are one take, and nothing is refused', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    const paths = Array.from({ length: 6 }, (_, n) => join(shop.folder, `${n}.wav`))
    for (const [n, path] of paths.entries()) writeTake(path, [whiteNoise(9000, n)])
    const words = [
      join(import.meta.dirname, 'child-import.ts'),
      shop.workplace.catalogue.path,
      String(session.id),
      ...paths,
    ]
    const ends = await Promise.all(
      [0, 1].map(
        () =>
          new Promise<string>((resolve) => {
            const child = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'inherit'] })
            let said = ''
            child.stdout.on('data', (part: Buffer) => {
              said += part.toString()
            })
            child.on('close', () => resolve(said))
          }),
      ),
    )
    for (const said of ends) expect(JSON.parse(said)).toEqual({ takes: 6, refused: [] })
    expect(shop.workplace.catalogue.takes.listOfSession(session.id)).toHaveLength(6)
  })
})
