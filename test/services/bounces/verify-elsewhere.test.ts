// Verification of a bounce whose takes have moved since: a take is its bytes, wherever they are, and a missing one
// concerns only the stems that need it.

import { execFileSync } from 'node:child_process'
import { copyFileSync, mkdirSync, renameSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

/** A bounce of a lead and a double, each in its own group with its own chain. */
async function twoStems() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [a, b] = ['a', 'b'].map((name, seed) =>
    writeTake(join(shop.folder, `${name}.wav`), [whiteNoise(24_000, seed + 1, 0.3)]),
  )
  const takes = await shop.takeIn(session, a, b)
  await shop.place(session, takes[0], 'Lead', { name: 'a' })
  await shop.place(session, takes[1], 'Doubles', { name: 'b' })
  const { manifest } = await shop.handlers.bounceSession(
    {
      ...{ sessionId: session.id, folder: join(shop.folder, 'out') },
      ...{ encoding: 'pcm-24', layerStems: false },
    },
    context,
  )
  mkdirSync(join(shop.folder, 'moved'))
  const moved = join(shop.folder, 'moved', 'a.wav')
  shop.tampered.add(a)
  return {
    ...{ shop, takes, a, moved, manifest },
    verify: () => shop.handlers.verifyBounce({ manifestPath: manifest }, context),
  }
}

it('takes the bytes from where the take was found, whatever is at its old place', async () => {
  const { shop, takes, a, moved, verify } = await twoStems()
  renameSync(a, moved)
  writeTake(a, [whiteNoise(24_000, 9, 0.3)])
  const { differing, same } = await verify()
  expect(same).toHaveLength(1)
  expect(differing.map(({ reason }) => reason)).toEqual(['the take a has changed since the bounce'])
  await shop.handlers.relinkTakes({ takes: [{ id: takes[0].id, path: moved }] }, context)
  expect(await verify()).toMatchObject({ differing: [], unverified: [] })
})

it('verifies the stems that do not need a missing take, and names the others', async () => {
  const { a, moved, manifest, verify } = await twoStems()
  renameSync(a, moved)
  const { same, differing, unverified } = await verify()
  expect(differing).toEqual([])
  expect(same).toHaveLength(1)
  expect(same[0]).toMatch(/Doubles/)
  expect(unverified).toHaveLength(1)
  expect(unverified[0].stem).toMatch(/Lead/)
  expect(unverified[0].reason).toBe(`the take a is missing, last at ${a}; find it, then verify again`)

  // The command line names it too, and does not end like a verification that found all of them identical.
  const call = (): { status: number; text: string } => {
    try {
      const text = execFileSync('npm', ['run', '-s', 'takeloft', '--', 'verify', manifest], {
        encoding: 'utf8',
      })
      return { status: 0, text }
    } catch (error) {
      const { status, stdout } = error as { status: number; stdout: string }
      return { status, text: stdout }
    }
  }
  const { status, text } = call()
  expect(status).toBe(2)
  expect(text).toMatch(/^same {7}.*Doubles/m)
  expect(text).toMatch(/^unverified .*Lead.*: the take a is missing/m)
  copyFileSync(moved, a)
  expect(call().status).toBe(0)
})

it('fails where no stem can be verified', async () => {
  const { shop, a, verify } = await twoStems()
  rmSync(a)
  rmSync(join(shop.folder, 'b.wav'))
  await expect(verify()).rejects.toThrow(/^Nothing was verified, because 2 takes are missing: a /)
})
