// An archive and a delivery stay what they were: nothing is written into them. After each attempt the bag is read by
// sha256sum and has no file that is not listed (RFC 8493, 3: a bag with an unlisted payload file is not complete).

import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from 'node:fs'
import { basename, join } from 'node:path'
import { expect, it } from 'vitest'
import { DeliveryRequest } from '../../../app/contract/delivery/delivery-request.ts'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { restoreBag } from '../../../app/services/keeping/restore-bag.ts'
import { saveFile } from '../../../app/services/save-file.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

async function bagAndDelivery() {
  const shop = openWorkshop()
  const { folder, handlers, workplace } = shop
  const session = await shop.createSession()
  const [take] = await shop.takeIn(session, writeTake(join(folder, 'a.wav'), [whiteNoise(9600, 1, 0.3)]))
  await shop.place(session, take!, 'Lead')
  const delivered = await handlers.deliver(
    { ...DeliveryRequest.parse({ sessionId: session.id }), folder: join(folder, 'out') },
    context,
  )
  const archive = (into: string) =>
    archiveSession(workplace, { sessionId: session.id, folder: into }, context)
  const { bag } = await archive(join(folder, 'kept'))
  return { ...shop, session, take: take!, delivery: delivered.folder, bag, archive }
}

const filesIn = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort()

it('nothing is written into an archive or a delivery, also behind a link', async () => {
  const { folder, workplace, handlers, session, delivery, bag, archive } = await bagAndDelivery()
  const before = [bag, delivery].map(filesIn)
  const link = join(folder, 'short way')
  symlinkSync(join(bag, 'data'), link)
  const bounce = (into: string) =>
    handlers.bounceSession(
      { sessionId: session.id, folder: into, encoding: 'pcm-24', layerStems: false },
      context,
    )
  const deliver = (into: string) =>
    handlers.deliver({ ...DeliveryRequest.parse({ sessionId: session.id }), folder: into }, context)
  const open = async (path: string) => openWorkplace(path).close()
  for (const [attempt, what] of [
    [() => bounce(join(bag, 'data', 'stems2')), 'archive'],
    [() => bounce(join(link, 'stems2')), 'archive'],
    [() => deliver(join(bag, 'data')), 'archive'],
    [() => deliver(bag), 'archive'],
    [() => archive(join(bag, 'data')), 'archive'],
    [() => archive(link), 'archive'],
    [() => saveFile(workplace, join(bag, 'voice.zip'), 'x'), 'archive'],
    [() => open(join(bag, 'data', 'new', 'c.sqlite')), 'archive'],
    [() => open(join(delivery, 'c.sqlite')), 'delivery'],
    [() => restoreBag(workplace, { bag, takes: join(bag, 'data/takes') }, context), 'archive'],
    [() => restoreBag(workplace, { bag, takes: join(delivery, '02_Dry/Raw') }, context), 'delivery'],
    [() => restoreBag(workplace, { bag, takes: delivery }, context), 'delivery'],
  ] as const) {
    await expect(attempt(), String(attempt)).rejects.toMatchObject({
      code: 'conflict',
      message: expect.stringMatching(new RegExp(`is inside the ${what} .* choose a folder outside it`)),
    })
    expect([bag, delivery].map(filesIn), String(attempt)).toEqual(before)
  }
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: bag })
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: delivery })
})

it('a folder with the name of a take does not stop restoring, and stays', async () => {
  const { folder, bag, take } = await bagAndDelivery()
  const there = join(folder, 'there')
  const [name] = readdirSync(join(bag, 'data/takes'))
  mkdirSync(join(there, 'takes', name!), { recursive: true })
  const other = openWorkplace(join(there, 'catalogue.sqlite'))
  try {
    const { sessionId } = await restoreBag(other, { bag, takes: join(there, 'takes') }, context)
    const placed = readdirSync(join(there, 'takes')).filter((one) => one !== name)
    expect(placed).toHaveLength(1)
    expect(readdirSync(join(there, 'takes', name!))).toEqual([])
    expect(readFileSync(join(there, 'takes', placed[0]!)).equals(readFileSync(join(folder, take.path)))).toBe(
      true,
    )
    expect(basename(other.catalogue.takes.findBySha256(take.sha256)!.path)).toBe(placed[0])
    expect(existsSync(join(there, 'catalogue.sqlite'))).toBe(true)
    expect(sessionId).toBeGreaterThan(0)
  } finally {
    await other.close()
  }
})
