// Voices through the services: takes of two sessions in, proposals and soundcheck out.

import { createHash } from 'node:crypto'
import { readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import type { Session, Take } from '../../../app/contract/entities.ts'
import { colourByMic } from '../../../app/dsp/voice/colour-by-mic.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC } from '../../../app/dsp/voice/demo-mics.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { soundcheckSentences } from '../../../app/words/soundcheck.ts'
import { longTake, throughBand } from '../../signals/voice-takes.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

/** A copy of a take as it was kept before voices were analysed. Bytes after the last chunk make it another file with the same sound. */
function addOldTake({ folder, workplace }: Workshop, { id: _id, ...take }: Take, name = 'old'): Take {
  const bytes = Buffer.concat([readFileSync(join(folder, take.path)), Buffer.from(name)])
  writeFileSync(join(folder, `${name}.wav`), bytes)
  const { voice: _none, ...facts } = take.facts
  const sha256 = createHash('sha256').update(bytes).digest('hex')
  const file = { sha256, sizeBytes: bytes.length, path: `${name}.wav` }
  return workplace.catalogue.takes.insert({ ...take, ...file, name, facts })
}

const sung = (seed: number): Float64Array => longTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 2, seed)

async function takeIn(
  shop: Workshop,
  session: Session,
  name: string,
  samples: Float64Array,
  voiceId: number | null,
): Promise<Take> {
  const path = writeTake(join(shop.folder, `${name}.wav`), [samples])
  const outcome = await shop.handlers.importTakes(
    { sessionId: session.id, files: [{ path }], voiceId, micId: null, curveId: null },
    context,
  )
  return outcome.takes[0]
}

it('analyses a take, proposes settings and checks it against the voice’s earlier sessions', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const before = await shop.createSession()
  const voice = await handlers.createVoice({ artistId: before.artistId, name: 'rap', note: '' }, context)
  const first = await takeIn(shop, before, 'first', sung(20), voice.id)
  await takeIn(shop, before, 'second', sung(30), voice.id)

  // Takes of one session are no history of each other.
  const alone = await handlers.runSoundcheck({ takeId: first.id }, context)
  expect(alone).toMatchObject({ outcome: 'not-enough-history', earlierTakes: 0 })

  const session = await shop.createSession()
  const farther = throughBand(sung(7), 'low-shelf', 250, -6, 0.7)
  const today = await takeIn(shop, session, 'today', farther, voice.id)
  expect(today.facts.voice?.outcome).toBe('analysed')
  const { analysis, usualBalances, proposals } = await handlers.analyseVoice({ takeId: today.id }, context)
  expect(analysis).toEqual(today.facts.voice)
  // The low shelf that was planted is what the warmth lost against the two takes before.
  expect(usualBalances.warmthDb?.takes).toBe(2)
  expect(analysis.bands.warmthDb! - usualBalances.warmthDb!.mean).toBeLessThan(-usualBalances.warmthDb!.limit)
  expect(proposals.map(({ stage }) => stage.kind)).toContain('low-cut')
  expect(proposals.every(({ stage, evidence }) => stage.on && evidence.length > 0)).toBe(true)

  const checked = await handlers.runSoundcheck({ takeId: today.id }, context)
  if (checked.outcome !== 'compared') throw new Error(checked.outcome)
  expect(checked.earlierTakes).toBe(2)
  expect(soundcheckSentences(checked.measures).join(' ')).toMatch(/farther from the mic/)
  // No mic is named, so the mics could not be taken out, and that is said.
  expect(checked.isMicTakenOut).toBe(false)
  expect(checked.remarks).toHaveLength(1)

  // A take of an older catalogue has no analysis yet: it is made when asked for.
  const old = addOldTake(shop, today)
  expect((await handlers.analyseVoice({ takeId: old.id }, context)).analysis).toEqual(analysis)

  const nobodys = await takeIn(shop, session, 'nobody', sung(8).subarray(0, 15 * 48_000), null)
  await expect(handlers.runSoundcheck({ takeId: nobodys.id }, context)).rejects.toMatchObject({
    code: 'invalid-input',
    message: expect.stringMatching(/belongs to no voice/),
  })
  const short = await takeIn(shop, session, 'short', sung(8).subarray(0, 3 * 48_000), voice.id)
  for (const act of [handlers.analyseVoice, handlers.runSoundcheck]) {
    await expect(act({ takeId: short.id }, context)).rejects.toMatchObject({
      code: 'not-enough-material',
      message: expect.stringMatching(
        /^short: The take has \d\.\d s of sounding voice, and at least 10 s are needed/,
      ),
    })
  }
})

it('holds a voice against its history as this take’s mic would have heard it', async () => {
  const shop = openWorkshop()
  const { handlers } = shop
  const before = await shop.createSession()
  const voice = await handlers.createVoice({ artistId: before.artistId, name: 'rap', note: '' }, context)
  const [dark, bright] = await Promise.all(
    [DEMO_DYNAMIC, DEMO_CONDENSER].map(async ({ name, curve }) => {
      const mic = await handlers.createMic({ name, serial: '', pattern: 'cardioid', note: '' }, context)
      const text = Array.from(curve.frequenciesHz, (hz, i) => `${hz},${curve.levelsDb[i]}`).join('\n')
      const added = await handlers.importCurve(
        { micId: mic.id, name, source: 'invented', pattern: 'cardioid', distanceM: 0.3, note: '', text },
        context,
      )
      return { curve, micId: mic.id, curveId: added.curve.id }
    }),
  )
  const takeThrough = async (session: Session, name: string, seed: number, mic: typeof dark) => {
    const sound = colourByMic(Float32Array.from(sung(seed)), mic.curve, 48_000)
    const path = writeTake(join(shop.folder, `${name}.wav`), [Float64Array.from(sound, (x) => x * 0.7)])
    const { takes } = await handlers.importTakes(
      { sessionId: session.id, files: [{ path }], voiceId: voice.id, micId: mic.micId, curveId: mic.curveId },
      context,
    )
    return takes[0]
  }
  const airOf = async (take: Take) => {
    const { analysis, usualBalances, proposals, remarks } = await handlers.analyseVoice(
      { takeId: take.id },
      context,
    )
    const isUsual = Math.abs(analysis.bands.airDb! - usualBalances.airDb!.mean) < usualBalances.airDb!.limit
    return { isUsual, hasTone: proposals.some(({ stage }) => stage.kind === 'tone'), remarks }
  }

  await takeThrough(before, 'one', 20, dark)
  await takeThrough(before, 'two', 40, dark)
  const today = await takeThrough(await shop.createSession(), 'today', 7, bright)
  expect(await airOf(today)).toEqual({
    isUsual: true,
    hasTone: false,
    remarks: [expect.stringMatching(/compared as if recorded with this mic/)],
  })
  // Without the curve of today's mic the mics' difference is all there is, and that is said.
  const unnamed = await handlers.updateTake(
    { id: today.id, changes: { micId: null, curveId: null } },
    context,
  )
  expect(await airOf(unnamed)).toEqual({
    isUsual: false,
    hasTone: true,
    remarks: [expect.stringMatching(/includes the differences between the mics/)],
  })
})

it('leaves out earlier takes that cannot be read, and names them', async () => {
  const shop = openWorkshop()
  const { handlers, folder } = shop
  const before = await shop.createSession()
  const voice = await handlers.createVoice({ artistId: before.artistId, name: 'rap', note: '' }, context)
  const first = await takeIn(shop, before, 'first', sung(20), voice.id)
  const second = await takeIn(shop, before, 'second', sung(30), voice.id)
  const [gone, swapped, whole] = ['gone', 'swapped', 'whole'].map((name) => addOldTake(shop, first, name))
  for (const { id } of [gone, swapped, whole]) shop.workplace.catalogue.takes.linkToSession(before.id, id)
  rmSync(join(folder, gone.path))
  shop.tampered.add(join(folder, swapped.path))
  writeFileSync(join(folder, swapped.path), readFileSync(join(folder, second.path)))

  const today = await takeIn(shop, await shop.createSession(), 'today', sung(7), voice.id)
  const sentence =
    'Earlier takes whose files cannot be read are left out: swapped, gone. Put the files back to compare with them.'
  const { usualBalances, remarks } = await handlers.analyseVoice({ takeId: today.id }, context)
  expect(usualBalances.warmthDb?.takes).toBe(3)
  expect(remarks).toContain(sentence)
  const checked = await handlers.runSoundcheck({ takeId: today.id }, context)
  if (checked.outcome !== 'compared') throw new Error(checked.outcome)
  expect(checked.earlierTakes).toBe(3)
  expect(checked.remarks).toContain(sentence)
})

it('says which takes were left out where too few are left for a soundcheck', async () => {
  const shop = openWorkshop()
  const { handlers, folder } = shop
  const before = await shop.createSession()
  const voice = await handlers.createVoice({ artistId: before.artistId, name: 'rap', note: '' }, context)
  const first = await takeIn(shop, before, 'first', sung(20), voice.id)
  const gone = addOldTake(shop, first, 'gone')
  shop.workplace.catalogue.takes.linkToSession(before.id, gone.id)
  rmSync(join(folder, gone.path))
  const today = await takeIn(shop, await shop.createSession(), 'today', sung(7), voice.id)
  expect(await handlers.runSoundcheck({ takeId: today.id }, context)).toMatchObject({
    outcome: 'not-enough-history',
    earlierTakes: 1,
    remarks: [expect.stringMatching(/^Earlier takes whose files cannot be read are left out: gone\./)],
  })
})
