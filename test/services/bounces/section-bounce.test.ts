// A section bounced and measured alone: its samples are those of the whole bounce at its place, because the chains have
// heard what is before it. Checked with ffprobe and FFmpeg's ebur128.

import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import type { Session } from '../../../app/contract/entities.ts'
import { type Manifest, parseManifest } from '../../../app/contract/manifest.ts'
import type { BounceOutcome, InputOf } from '../../../app/contract/wire/commands.ts'
import { ledgerWords } from '../../../app/words/ledger.ts'
import { ffmpeg } from '../../audio/outside-tools.ts'
import { hasTool } from '../../require-tool.ts'
import { hostileSignals } from '../../signals/hostile.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const RATE_HZ = 48_000
/** On no block's edge, and as long as a line. */
const HOOK = { startSamples: 2 * RATE_HZ + 1237, lengthSamples: 3 * RATE_HZ + 71 }

/** Stages that remember for milliseconds to seconds. */
const { 'low-cut': lowCut, opto, ceiling, 'de-ess': deEss, drive } = defaultStages
const chainWith = (ceilingDbtp: number): ChainStages => [
  ...[lowCut, deEss, drive, opto].map((stage) => ({ ...stage, on: true })),
  { ...ceiling, on: true, settings: { ...ceiling.settings, ceilingDbtp } },
]
/** Low enough that it holds the hook as well: a lower one of the whole song is heard there. */
const LOW_CEILING = -18

/** Noise in phrases of changing level. */
const phrases = (seconds: number, seed: number, gain: number): Float64Array =>
  whiteNoise(seconds * RATE_HZ, seed, 1).map(
    (x, n) => x * gain * (0.15 + Math.abs(Math.sin((seed + 2 * n) / RATE_HZ))),
  )

/**
 * A lead of 8 s, loud before the hook; its end exceeds the ceiling between its samples, which the whole song's trim is
 * made of. Doubles of 4 s; ad-libs only behind the hook.
 */
async function songWithHook(
  isShared: boolean,
  ceilingDbtp = LOW_CEILING,
): Promise<{ shop: Workshop; session: Session }> {
  const shop = openWorkshop()
  const { handlers, folder, workplace } = shop
  const session = await shop.createSession()
  const lead = phrases(8, 1, 0.1)
  const loud = hostileSignals(RATE_HZ, 11)['full-scale even noise']!
  lead.set(
    loud.map((x) => 8 * x),
    7 * RATE_HZ,
  )
  const takes = await shop.takeIn(
    session,
    writeTake(join(folder, 'lead.wav'), [lead], { encoding: 'float-32' }),
    writeTake(join(folder, 'double.wav'), [phrases(4, 2, 0.1)], { encoding: 'float-32' }),
    writeTake(join(folder, 'adlib.wav'), [phrases(1, 3, 0.2)], { encoding: 'float-32' }),
  )
  await shop.place(session, takes[0]!, 'Lead', { offsetSamples: -480 })
  await shop.place(session, takes[1]!, 'Doubles', { role: 'double', gainDb: -6, pan: 0.6 })
  await shop.place(session, takes[2]!, 'Ad-libs', { role: 'ad-lib', offsetSamples: 6 * RATE_HZ })
  const voice = await handlers.createVoice({ artistId: session.artistId, name: 'Sung', note: '' }, context)
  const { id } = await handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Chain', stages: chainWith(ceilingDbtp), note: '' },
    context,
  )
  if (isShared) {
    const changes = { chainSharing: 'shared', sharedChainVersionId: id } as const
    await handlers.updateSession({ id: session.id, changes }, context)
  } else {
    for (const group of workplace.catalogue.groups.listOfSession(session.id)) {
      await handlers.updateGroup({ id: group.id, changes: { chainVersionId: id } }, context)
    }
  }
  await handlers.addSection({ sessionId: session.id, name: 'Hook', note: '', ...HOOK }, context)
  return { shop, session }
}

const bounce = (
  { handlers, folder }: Workshop,
  session: Session,
  changes: Partial<InputOf<'bounceSession'>> = {},
): Promise<BounceOutcome> =>
  handlers.bounceSession(
    {
      ...{ sessionId: session.id, folder: join(folder, 'out'), encoding: 'float-32', layerStems: false },
      ...changes,
    },
    context,
  )

const hookOf = ({ workplace }: Workshop, session: Session) =>
  ({ kind: 'section', sectionId: workplace.catalogue.sections.listOfSession(session.id)[0]!.id }) as const

const manifestOf = ({ manifest }: BounceOutcome): Manifest =>
  parseManifest(JSON.parse(readFileSync(manifest, 'utf8')), 'manifest')

function samplesOf(path: string): Float64Array[] {
  const audio = openAudioFile(path)
  const into = Array.from({ length: audio.format.channels }, () => new Float64Array(audio.format.frames))
  audio.read(0, audio.format.frames, into)
  audio.close()
  return into
}

describe.each([
  ['groups with chains of their own', false],
  ['a shared chain', true],
])('a section of %s', (_, isShared) => {
  it('has the samples of the whole bounce at its place, bit for bit', async () => {
    const { shop, session } = await songWithHook(isShared)
    const whole = manifestOf(await bounce(shop, session, { layerStems: true }))
    const outcome = await bounce(shop, session, { layerStems: true, range: hookOf(shop, session) })
    const hook = manifestOf(outcome)
    const { startSamples, lengthSamples } = HOOK
    expect(hook.span).toEqual({ name: 'Hook', startFrame: startSamples, frames: lengthSamples })
    // Ad-libs do not sound in it.
    expect(hook.stems.map(({ name }) => name)).toEqual(
      whole.stems.map(({ name }) => name).filter((name) => !name.startsWith('Ad-libs')),
    )
    // The whole song's end lowers its ceiling, so a trim of the section alone would show.
    expect(whole.stems[0]!.ceilingTrimDb).toBeGreaterThan(0.05)
    expect(hook.stems[0]!.ceilingTrimDb).toBe(whole.stems[0]!.ceilingTrimDb)
    const from = startSamples - whole.plan.startFrame
    for (const { name, file } of hook.stems) {
      const part = samplesOf(join(dirname(outcome.manifest), file))
      const stem = whole.stems.find((one) => one.name === name)!
      const all = samplesOf(join(shop.folder, 'out', stem.file))
      expect(part.map(({ length }) => length)).toEqual(all.map(() => lengthSamples))
      for (const [channel, samples] of part.entries()) {
        const there = all[channel]!.subarray(from, from + lengthSamples)
        expect(samples.findIndex((x, n) => x !== there[n])).toBe(-1)
      }
    }
  })
})

it('its files carry its name and time stamp, and it verifies; a changed span does not', async () => {
  const { shop, session } = await songWithHook(false)
  const outcome = await bounce(shop, session, { encoding: 'pcm-24', range: hookOf(shop, session) })
  expect(outcome.stems.map(({ path }) => basename(path))).toEqual([
    'InventedSong_Hook_Lead_48k24b.wav',
    'InventedSong_Hook_Doubles_48k24b.wav',
  ])
  const [line] = await shop.handlers.listLedger({ limit: 1 }, context)
  expect(ledgerWords(line!)).toMatchObject({ kind: 'bounced', subject: 'Invented Song, Hook' })
  expect(await shop.handlers.listBounces({}, context)).toMatchObject([{ part: 'Hook' }])
  const [lead] = outcome.stems
  if (hasTool('ffprobe')) {
    const args = ['-v', 'error', '-of', 'json', '-show_format', '-show_streams', lead!.path]
    const { format, streams } = JSON.parse(execFileSync('ffprobe', args).toString()) as {
      format: { tags: { time_reference: string; comment: string } }
      streams: { duration_ts: number }[]
    }
    expect(Number(format.tags.time_reference)).toBe(session.startOfDayS * RATE_HZ + HOOK.startSamples)
    expect(format.tags.comment).toBe('Invented Artist: Invented Song, Hook, Lead')
    expect(streams[0]!.duration_ts).toBe(HOOK.lengthSamples)
  }
  const manifestPath = outcome.manifest
  const verify = () => shop.handlers.verifyBounce({ manifestPath }, context)
  expect(await verify()).toMatchObject({
    differing: [],
    unverified: [],
    same: [expect.any(String), expect.any(String)],
  })
  const manifest = manifestOf(outcome)
  const span = { ...manifest.span!, startFrame: manifest.span!.startFrame + 1 }
  shop.tampered.add(manifestPath)
  writeFileSync(manifestPath, JSON.stringify({ ...manifest, span }))
  expect((await verify()).differing).toHaveLength(2)
})

it('a range without sound, outside of the song or a marker is refused, and nothing is written', async () => {
  const { shop, session } = await songWithHook(false)
  const marker = await shop.handlers.addSection(
    { sessionId: session.id, name: 'Breath', startSamples: RATE_HZ, lengthSamples: 0, note: '' },
    context,
  )
  const frames = (fromFrame: number, toFrame: number) =>
    bounce(shop, session, { range: { kind: 'frames', fromFrame, toFrame } })
  await expect(frames(9 * RATE_HZ, 10 * RATE_HZ)).rejects.toMatchObject({
    code: 'invalid-input',
    message: expect.stringContaining('is outside of the song'),
  })
  await expect(
    bounce(shop, session, { range: { kind: 'section', sectionId: marker.id } }),
  ).rejects.toMatchObject({
    code: 'invalid-input',
    message: expect.stringContaining('marker without a length'),
  })
  expect(await shop.handlers.listBounces({}, context)).toEqual([])
})

it.skipIf(!hasTool('ffmpeg'))('is measured as loud as FFmpeg measures its bounce', async () => {
  const { shop, session } = await songWithHook(false, -1)
  const range = hookOf(shop, session)
  const { stems } = await bounce(shop, session, { range })
  const [bounced] = await shop.handlers.listBounces({}, context)
  const sum = join(shop.folder, 'sum.wav')
  ffmpeg(
    ...stems.flatMap(({ path }) => ['-i', path]),
    ...['-filter_complex', `amix=inputs=${stems.length}:normalize=0`, '-c:a', 'pcm_f32le', sum],
  )
  const said = execFileSync(
    'ffmpeg',
    [
      '-v',
      'error',
      '-i',
      sum,
      '-af',
      'ebur128=metadata=1:peak=true,ametadata=print:file=-',
      '-f',
      'null',
      '-',
    ],
    { encoding: 'utf8', maxBuffer: 2 ** 26 },
  )
  const read = (name: string): number =>
    Number(
      said
        .match(new RegExp(`lavfi\\.r128\\.${name}=(.*)`, 'g'))!
        .at(-1)!
        .split('=')[1],
    )
  const measured = await shop.handlers.measureStack({ sessionId: session.id, range }, context)
  const again = await shop.handlers.measureBounce({ bounceId: bounced!.id }, context)
  for (const { integratedLufs } of [measured, again]) {
    expect(Math.abs(integratedLufs! - read('I'))).toBeLessThanOrEqual(0.05)
  }
  // The whole song has the loud end, so measuring it instead would show.
  const whole = await shop.handlers.measureStack({ sessionId: session.id }, context)
  expect(Math.abs(whole.integratedLufs! - read('I'))).toBeGreaterThan(1)
})
