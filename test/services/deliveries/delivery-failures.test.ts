// A delivery that cannot be: a sentence that says why, and nothing is left. Names of any kind, and a disk that is full.

import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import naughty from 'big-list-of-naughty-strings' with { type: 'json' }
import { describe, expect, it } from 'vitest'
import type { DeliveryOutcome } from '../../../app/contract/delivery/delivery-outcome.ts'
import type { Session } from '../../../app/contract/entities.ts'
import type { CallContext, InputOf } from '../../../app/contract/wire/commands.ts'
import { rawOn } from '../../db/raw-connection.ts'
import { LAUNCHER, PINNED_NODE } from '../../hosts/run-takeloft.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const deliver = (
  { handlers, folder }: Workshop,
  session: Session,
  changes: Partial<InputOf<'deliver'>> = {},
  call: CallContext = context,
): Promise<DeliveryOutcome> =>
  handlers.deliver(
    {
      ...{ sessionId: session.id, folder: join(folder, 'out'), sampleRateHz: null, encoding: 'pcm-24' },
      template: '{part}_{kind}',
      contents: { groups: true, layers: false, raw: true, aligned: true, reference: true },
      range: { kind: 'song' },
      ...changes,
    } as Parameters<Workshop['handlers']['deliver']>[0],
    call,
  )

async function withOneLayer(frames = 20_000) {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [take] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [whiteNoise(frames, 1, 0.2)]),
  )
  await shop.place(session, take!)
  return { shop, session }
}

/** Nothing was made, and nothing is hidden. */
const nothingLeft = ({ folder }: Workshop): void => {
  expect(existsSync(join(folder, 'out'))).toBe(false)
  expect(readdirSync(folder).filter((name) => name.startsWith('.takeloft'))).toEqual([])
}

describe('a delivery that cannot be', () => {
  it('without a layer says so', async () => {
    const shop = openWorkshop()
    const session = await shop.createSession()
    await expect(deliver(shop, session)).rejects.toMatchObject({
      code: 'empty',
      message: 'Invented Song has nothing to deliver: place a take in the stack, or unmute a layer.',
    })
    nothingLeft(shop)
  })

  it('names the take that is missing, and where it was', async () => {
    const { shop, session } = await withOneLayer()
    const path = join(shop.folder, 'a.wav')
    shop.tampered.add(path)
    rmSync(path)
    await expect(deliver(shop, session)).rejects.toMatchObject({
      code: 'vanished',
      message: expect.stringMatching(
        /^Nothing was delivered, because 1 take is missing: a \(last at .*a\.wav\)\. Put it back/,
      ),
    })
    nothingLeft(shop)
  })

  it('is refused inside a delivery, also in one of its folders', async () => {
    const { shop, session } = await withOneLayer()
    const { folder } = await deliver(shop, session)
    for (const inside of [folder, join(folder, '04_Session'), join(folder, 'new/deep')]) {
      await expect(deliver(shop, session, { folder: inside })).rejects.toMatchObject({
        code: 'conflict',
        message: expect.stringContaining('must stay as it was delivered'),
      })
    }
    expect(readdirSync(join(shop.folder, 'out'))).toHaveLength(1)
    expect(existsSync(join(folder, 'new'))).toBe(false)
  })

  it('to a file, or over a relative path, is refused', async () => {
    const { shop, session } = await withOneLayer()
    await expect(deliver(shop, session, { folder: join(shop.folder, 'a.wav') })).rejects.toMatchObject({
      code: 'not-writable',
    })
    await expect(deliver(shop, session, { folder: 'out' })).rejects.toMatchObject({ code: 'invalid-input' })
  })

  it('outside of the song is refused', async () => {
    const { shop, session } = await withOneLayer()
    await expect(
      deliver(shop, session, { range: { kind: 'frames', fromFrame: 30_000, toFrame: 40_000 } }),
    ).rejects.toMatchObject({
      code: 'invalid-input',
      message: expect.stringContaining('outside of the song'),
    })
    nothingLeft(shop)
  })

  it('when cancelled leaves nothing, at any step', async () => {
    const { shop, session } = await withOneLayer(200_000)
    for (const step of ['Checking', 'Copying', 'Rendering the stems', 'Placing', 'Rendering the reference']) {
      const abort = new AbortController()
      const call: CallContext = {
        signal: abort.signal,
        report: (_, doing) => {
          if (doing.startsWith(step)) abort.abort()
        },
      }
      await expect(deliver(shop, session, {}, call), step).rejects.toMatchObject({ code: 'cancelled' })
      nothingLeft(shop)
    }
    expect(shop.workplace.catalogue.deliveries.listOfSession(session.id)).toEqual([])
  })

  it('that only the ledger cannot note says where it is', async () => {
    const { shop, session } = await withOneLayer()
    const other = rawOn(shop.workplace.catalogue.path)
    other.exec('BEGIN IMMEDIATE')
    await expect(deliver(shop, session)).rejects.toMatchObject({
      code: 'catalogue-busy',
      message: expect.stringMatching(
        /whole in .*_v01 and can be verified, but the ledger could not note them/,
      ),
    })
    other.exec('ROLLBACK')
    other.close()
  })

  it('on a disk that is full for its last sound leaves nothing, and says so', async () => {
    const { shop, session } = await withOneLayer(400_000)
    // Mono files of 1.2 MB are written; the stereo reference of 2.4 MB reaches the limit of 2 MB.
    const words = ['deliver', '--catalogue', shop.workplace.catalogue.path, '--session', String(session.id)]
    const out = join(shop.folder, 'out')
    const run = spawnSync(
      'bash',
      [
        '-c',
        'ulimit -f 2000; exec "$@"',
        'bash',
        PINNED_NODE,
        LAUNCHER,
        ...words,
        '--out',
        out,
        '--no-groups',
      ],
      { encoding: 'utf8' },
    )
    expect(run.status).toBe(2)
    expect(run.stderr.trim().split('\n').at(-1)).toMatch(/^[A-Z/].*\.$/)
    expect(run.stderr).toContain('Rendering the reference')
    expect(run.stderr).not.toMatch(/\n\s+at |Error:/)
    // What was asked for is named, not the hidden folder that was being filled.
    const reference = join(out, 'IA_InventedSong_2026-10-01_v01/03_Reference')
    expect(run.stderr.trim().split('\n').at(-1)).toContain(`${reference}/`)
    expect(run.stderr).not.toContain('.takeloft-')
    nothingLeft(shop)
  })
})

describe('names of any kind', () => {
  it('of artist, song, groups and layers give files that any disk takes, each once; true names are in them', async () => {
    const shop = openWorkshop()
    const names = (naughty as string[])
      .map((text) => text.slice(0, 150))
      .filter((text) => /\S/u.test(text) && text.isWellFormed() && !text.includes('\0'))
    const { handlers } = shop
    const accepted: string[] = []
    for (const [k, name] of names.entries()) {
      if (k % 7 !== 0 || accepted.length >= 40) continue
      await handlers.createArtist({ name, note: '' }, context).then(
        () => accepted.push(name),
        () => {},
      )
    }
    expect(accepted.length).toBeGreaterThan(20)
    const session = await shop.createSession()
    const [take] = await shop.takeIn(
      session,
      writeTake(join(shop.folder, 'a.wav'), [whiteNoise(500, 1, 0.2)]),
    )
    for (const name of ['<script>alert(1)</script>', 'CON', 'con', 'Straße', 'STRASSE', ...accepted]) {
      await shop.place(session, take!, 'Lead', { name })
    }
    const outcome = await deliver(shop, session, {
      template: '{layer}',
      contents: { groups: false, layers: true, raw: false, aligned: false, reference: false },
    })
    const files = readdirSync(join(outcome.folder, '01_Processed'))
    expect(files).toHaveLength(accepted.length + 5)
    expect(new Set(files.map((name) => name.toLowerCase())).size).toBe(files.length)
    for (const name of files) expect(name).toMatch(/^[A-Za-z0-9][A-Za-z0-9_-]{0,75}\.wav$/)
    expect(files).toContain('Strasse.wav')
    expect(files).toContain('STRASSE_2.wav')
    expect(files).toContain('CONX.wav')
    expect(files).toContain('ConX_2.wav')
  })
})
