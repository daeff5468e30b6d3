// A clock that is set back: what was done last still comes first.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it, onTestFinished } from 'vitest'
import { createHandlers } from '../../app/services/handlers.ts'
import { openWorkplace } from '../../app/services/workplace.ts'
import { ledgerWords } from '../../app/words/ledger.ts'
import { sha256Of } from '../db/entries.ts'
import { whiteNoise } from '../signals/noise.ts'
import { context, SESSION_FIELDS, writeTake } from './workshop.ts'

it('what is done after the clock was set back stands above what was done before, of whatever kind', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-clock-'))
  let clock = '2026-11-27T14:00:00.000Z'
  const path = join(folder, 'catalogue.sqlite')
  const workplace = openWorkplace(path, () => clock)
  onTestFinished(async () => {
    await workplace.close()
    rmSync(folder, { recursive: true, force: true })
  })
  const handlers = createHandlers(workplace)
  const { id: artistId } = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voice = await handlers.createVoice({ artistId, name: 'rap', note: '' }, context)
  const createSession = (songTitle: string) =>
    handlers.createSession({ ...SESSION_FIELDS, artistId, songTitle }, context)
  const takeIn = (sessionId: number, name: string, seed: number) =>
    handlers.importTakes(
      {
        sessionId,
        files: [{ path: writeTake(join(folder, `${name}.wav`), [whiteNoise(4800, seed, 0.3)]) }],
        voiceId: voice.id,
        micId: null,
        curveId: null,
      },
      context,
    )
  const ledger = async (request: { artistId?: number } = {}) =>
    (await handlers.listLedger({ ...request, limit: 100 }, context)).map(
      (entry) => ledgerWords(entry).subject,
    )

  const session = await createSession('First')
  await takeIn(session.id, 'before', 1)
  // An hour back, as after a correction by hand; then years, as with an empty battery.
  clock = '2026-11-27T13:00:00.000Z'
  await handlers.saveChain({ voiceId: voice.id, chainId: null, name: 'Chain', stages: [], note: '' }, context)
  await takeIn(session.id, 'after', 2)
  clock = '2001-01-01T00:00:00.000Z'
  await createSession('Second')
  workplace.catalogue.bounces.insert(
    { sessionId: session.id, manifestPath: 'm.json', manifestSha256: sha256Of('m'), stems: 1 },
    workplace.now(),
  )
  await takeIn(session.id, 'last', 3)
  const order = [
    'last',
    'First',
    // Session and song.
    'Second',
    'Second',
    'after',
    'Chain, version 1',
    'before',
    'First',
    'First',
    'rap',
    'Invented Artist',
  ]
  expect(await ledger()).toEqual(order)
  expect(await ledger({ artistId })).toEqual(order)
  const found = await handlers.findTakes({ search: '', limit: 10, offset: 0 }, context)
  expect(found.map(({ name }) => name)).toEqual(['last', 'after', 'before'])

  // Right again: the clock's own time.
  clock = '2026-11-27T15:30:00.000Z'
  await takeIn(session.id, 'on time', 4)
  expect((await handlers.listLedger({ limit: 1 }, context))[0]).toMatchObject({
    takeName: 'on time',
    at: clock,
  })
})
