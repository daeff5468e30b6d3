// Bounces and deliveries of a session go into its archive and come back from it: on an empty machine the ledger lists
// them, and the old ones verify. The sheet in the bag needs nothing beside it.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, join } from 'node:path'
import { expect, it, onTestFinished } from 'vitest'
import { DeliveryRequest } from '../../../app/contract/delivery/delivery-request.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import { archiveSession } from '../../../app/services/keeping/archive-session.ts'
import { restoreBag } from '../../../app/services/keeping/restore-bag.ts'
import { openWorkplace } from '../../../app/services/workplace.ts'
import { archivedWords, restoredWords } from '../../../app/words/archives.ts'
import { runTakeloft } from '../../hosts/run-takeloft.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { checkTakesUnharmed } from '../../unharmed-takes.ts'
import { context, openWorkshop, SESSION_FIELDS, writeTake } from '../workshop.ts'

/** A session that was bounced, changed, and delivered. */
async function sessionThatWentOut() {
  const shop = openWorkshop()
  const { handlers, folder } = shop
  const session = await shop.createSession()
  const paths = [1, 2].map((k) => writeTake(join(folder, `take <${k}> 夜.wav`), [whiteNoise(24_000, k, 0.3)]))
  const takes = await shop.takeIn(session, ...paths)
  await shop.place(session, takes[0]!)
  await handlers.addSection(
    {
      sessionId: session.id,
      name: '<script>Verse</script>',
      startSamples: 0,
      lengthSamples: 12_000,
      note: 'n',
    },
    context,
  )
  const bounced = await handlers.bounceSession(
    {
      sessionId: session.id,
      folder: join(folder, 'out', 'Song — 夜'),
      encoding: 'pcm-24',
      layerStems: false,
    },
    context,
  )
  await shop.place(session, takes[1]!, 'Doubles', { role: 'double', gainDb: -3 })
  const delivered = await handlers.deliver(
    { ...DeliveryRequest.parse({ sessionId: session.id }), folder: join(folder, 'out') },
    context,
  )
  const archive = () =>
    archiveSession(shop.workplace, { sessionId: session.id, folder: join(folder, 'archives') }, context)
  return { ...shop, session, bounced, delivered, archive }
}

/** A catalogue in a folder of its own, as on another computer. */
function emptyMachine() {
  const there = mkdtempSync(join(tmpdir(), 'takeloft-restored-'))
  const workplace = openWorkplace(join(there, 'catalogue.sqlite'))
  onTestFinished(async () => {
    checkTakesUnharmed(workplace.catalogue.path)
    await workplace.close()
    rmSync(there, { recursive: true, force: true })
  })
  return { there, workplace, handlers: createHandlers(workplace) }
}

const bytesBelow = (folder: string): Map<string, string> =>
  new Map(
    readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name))
      .map((path) => [path.slice(folder.length), readFileSync(path, 'base64')] as const),
  )

it('an old bounce and a delivery verify on an empty machine, by the window and by the command line', async () => {
  const { bounced, delivered, archive, folder } = await sessionThatWentOut()
  const { bag, outputs, remarks } = await archive()
  expect({ outputs, remarks }).toEqual({ outputs: 2, remarks: [] })
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: bag })
  // The first computer is gone.
  rmSync(join(folder, 'out'), { recursive: true })

  const { there, workplace, handlers } = emptyMachine()
  const restored = await restoreBag(workplace, { bag, takes: join(there, 'recordings') }, context)
  expect(restored).toMatchObject({ outputs: 2, remarks: [], differing: [] })
  const { sessionId } = restored
  const [bounce] = await handlers.listBounces({ sessionId }, context)
  expect(bounce!.manifestPath.startsWith(join(there, 'bounces'))).toBe(true)
  expect(await handlers.verifyBounce({ manifestPath: bounce!.manifestPath }, context)).toEqual({
    same: bounced.stems.map(({ path }) => basename(path)),
    differing: [],
    unverified: [],
  })
  const [delivery] = await handlers.listDeliveries({ sessionId }, context)
  expect(delivery).toMatchObject({ number: 1, files: delivered.files.length })
  const manifestPath = join(delivery!.folder, 'manifest.json')
  const verified = await handlers.verifyBounce({ manifestPath }, context)
  expect([verified.differing, verified.unverified]).toEqual([[], []])
  expect(verified.same).toHaveLength(delivered.files.length - 1)
  expect(bytesBelow(delivery!.folder).size).toBe(delivered.files.length + 1)
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: delivery!.folder })
  expect(await handlers.openSession({ id: sessionId }, context)).toMatchObject({
    sections: [{ name: '<script>Verse</script>', startSamples: 0, lengthSamples: 12_000, note: 'n' }],
  })

  // Twice adds nothing, and what is there stays.
  const places = [
    bounce!.manifestPath.slice(0, -'/manifest.json'.length),
    delivery!.folder,
    join(there, 'recordings'),
  ]
  const before = places.map(bytesBelow)
  const again = await restoreBag(workplace, { bag, takes: join(there, 'recordings') }, context)
  expect(again).toMatchObject({ outputs: 0, copied: 0, remarks: [] })
  expect(places.map(bytesBelow)).toEqual(before)
  // The next delivery counts on, and is compared with the one that came.
  const next = await handlers.previewDelivery(DeliveryRequest.parse({ sessionId }), context)
  expect(next).toMatchObject({ number: 2, changes: [] })

  const call = ['verify', bounce!.manifestPath, '--catalogue', workplace.catalogue.path, '--json']
  const { status, stdout } = await runTakeloft(call)
  expect(status, stdout).toBe(0)
  expect(JSON.parse(stdout)).toMatchObject({ differing: [], unverified: [] })
})

it('a bounce that was changed, and one that is gone, are left out and named', async () => {
  const { bounced, delivered, archive, tampered } = await sessionThatWentOut()
  tampered.add(bounced.stems[0]!.path).add(join(delivered.folder, 'README.txt'))
  writeFileSync(bounced.stems[0]!.path, 'X', { flag: 'r+' })
  rmSync(join(delivered.folder, 'README.txt'))
  const { bag, outputs, remarks } = await archive()
  expect(outputs).toBe(0)
  expect(remarks).toEqual([
    expect.stringMatching(/^the bounce of 2026-10-01 12:00 \(.*was changed since\.$/),
    expect.stringMatching(/^delivery 1 \(.*README\.txt is missing\.$/),
  ])
  expect(readFileSync(join(bag, 'manifest-sha256.txt'), 'utf8')).not.toMatch(/bounces|deliveries/)
  execFileSync('sha256sum', ['-c', '--strict', '--quiet', 'manifest-sha256.txt'], { cwd: bag })
})

it('the sheet in the bag names takes, layers, sections and stems, and loads nothing', async () => {
  const { archive } = await sessionThatWentOut()
  const { bag } = await archive()
  const sheet = readFileSync(join(bag, 'data/recall.html'), 'utf8')
  expect(sheet).not.toContain('<script>')
  expect(sheet).toContain('&lt;script&gt;Verse&lt;/script&gt;')
  expect(sheet).not.toMatch(/src=|href=|url\(|@import/)
  for (const name of readdirSync(join(bag, 'data/takes'))) expect(sheet).toContain(name)
  for (const name of readdirSync(join(bag, 'data/stems'))) {
    if (name.endsWith('.wav')) expect(sheet).toContain(name)
  }
  expect(readFileSync(join(bag, 'takeloft/README.txt'), 'utf8')).toContain('data/recall.html')
  expect(readFileSync(join(bag, 'data/session.json'), 'utf8')).toContain('"sections"')
})

it('the outcome says what was written and what was there already', async () => {
  const { archive } = await sessionThatWentOut()
  const first = archivedWords(await archive())
  expect(first[0]).toMatch(/^2 takes, 2 stems and 2 earlier bounces and deliveries are in \/.*\.$/)
  expect(first[1]).toMatch(/^\d\.\d MB were written; nothing was there from an earlier archive\.$/)
  const second = archivedWords(await archive())
  expect(second[1]).toMatch(
    /^\d+ kB were written; (\d+ kB|\d\.\d MB) were there from an earlier archive, which shares/,
  )
  expect(second.join()).not.toContain('0.0 MB')
  expect(
    restoredWords({ sessionId: 1, copied: 1, there: 2, outputs: 1, same: ['a'], differing: [], remarks: [] }),
  ).toEqual([
    '1 take copied, 2 there already.',
    '1 earlier bounce or delivery copied to beside the catalogue.',
    '1 stem rendered to the same bytes.',
  ])
})

it('a session that came back delivers the same bytes as on the first computer', async () => {
  const { archive, handlers, session, folder } = await sessionThatWentOut()
  const { bag } = await archive()
  const { there, workplace, handlers: others } = emptyMachine()
  // Row numbers of the two catalogues differ.
  const artist = await others.createArtist({ name: 'Somebody else', note: '' }, context)
  const other = { ...SESSION_FIELDS, artistId: artist.id, songTitle: 'Other', sampleRateHz: 48_000 as const }
  await others.createSession(other, context)
  const { sessionId } = await restoreBag(workplace, { bag, takes: join(there, 'recordings') }, context)
  const here = await handlers.deliver(
    { ...DeliveryRequest.parse({ sessionId: session.id }), folder: join(folder, 'out') },
    context,
  )
  const elsewhere = await others.deliver(
    { ...DeliveryRequest.parse({ sessionId }), folder: join(there, 'out') },
    context,
  )
  const soundsOf = ({ folder }: { folder: string }): Map<string, string> =>
    new Map([...bytesBelow(folder)].filter(([path]) => path.endsWith('.wav')))
  expect(soundsOf(here).size).toBeGreaterThan(3)
  expect(soundsOf(elsewhere)).toEqual(soundsOf(here))
})
