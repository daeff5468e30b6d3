// Rows along the song of a whole group: what its chain gets in the session, and what comes out, which is its stem in the bounce.

import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { type JointRows, unpackRows } from '../../../app/contract/song/joint-rows.ts'
import { rowsRoute } from '../../../app/contract/wire/sound-routes.ts'
import { createSoundRoutes } from '../../../app/services/takes/sound-routes.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const FS = 48_000
const ROW = 1024
/** -3 dB: what a group is lowered by behind its chain under the law of the session. */
const DROP_DB = 20 * Math.log10(Math.SQRT1_2)

const chain = (thresholdDbfs: number): ChainStages => [
  { ...defaultStages.expander, settings: { ...defaultStages.expander.settings, thresholdDbfs: -30 } },
  defaultStages['low-cut'],
  { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, thresholdDbfs, attackMs: 5 } },
  defaultStages.ceiling,
]

/** Bursts of noise, so that opto and expander have something to do. */
const bursts = (seed: number, seconds: number): Float64Array =>
  whiteNoise(seconds * FS, seed, 0.5).map((x, i) => x * (Math.floor(i / (0.4 * FS)) % 3 === 0 ? 1 : 0.05))

async function openGroup() {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const files = [2, 3, 2, 2].map((seconds, k) =>
    writeTake(join(shop.folder, `${k}.wav`), [bursts(k + 1, seconds)]),
  )
  const takes = []
  for (const file of files) takes.push(...(await shop.takeIn(session, file)))
  await shop.place(session, takes[0], 'Doubles', { offsetSamples: -4321, gainDb: -6, pan: -0.7, name: 'D 1' })
  await shop.place(session, takes[1], 'Doubles', { offsetSamples: 30_000, gainDb: -3, pan: 0.4, name: 'D 2' })
  await shop.place(session, takes[2], 'Doubles', { gainDb: 6, muted: true, name: 'D 3' })
  await shop.place(session, takes[3], 'Lead', { offsetSamples: 96_000, name: 'L 1' })
  const { catalogue } = shop.workplace
  const group = catalogue.groups.listOfSession(session.id).find(({ name }) => name === 'Doubles')!
  const layers = catalogue.layers.listOfSession(session.id)
  const routes = createSoundRoutes(shop.workplace)
  const rowsOf = async (key: string): Promise<JointRows> => {
    const answer = await routes(new Request(`http://window${rowsRoute(key)}`))
    return unpackRows(new Float32Array(await answer!.arrayBuffer()))!
  }
  return {
    ...{ shop, session, group, rowsOf },
    layer: (name: string) => layers.find((one) => one.name === name)!,
    measure: (thresholdDbfs = -20) =>
      shop.handlers.measureGroup({ groupId: group.id, stages: chain(thresholdDbfs) }, context),
  }
}

/** Mean squares of the rows of a file, mean of the channels, as ffmpeg decodes it. */
function powersOf(path: string): number[] {
  const { stdout } = spawnSync('ffmpeg', ['-v', 'error', '-i', path, '-f', 'f32le', '-ac', '2', '-'], {
    maxBuffer: 64 * 1024 * 1024,
  })
  const samples = new Float32Array(stdout.buffer, stdout.byteOffset, stdout.byteLength / 4)
  return Array.from({ length: Math.ceil(samples.length / 2 / ROW) }, (_, row) => {
    const one = samples.subarray(2 * row * ROW, 2 * (row + 1) * ROW)
    return one.reduce((sum, x) => sum + x * x, 0) / one.length
  })
}

describe.skipIf(!hasTool('ffmpeg'))('the rows of a group', () => {
  it('are those of its stem in the bounce, row for row', async () => {
    const { shop, session, group, measure, rowsOf } = await openGroup()
    const { acts, voice } = { acts: shop.handlers, voice: await voiceOf(shop, session.artistId) }
    const version = await acts.saveChain(
      { voiceId: voice, chainId: null, name: 'Doubles', stages: chain(-20), note: '' },
      context,
    )
    await acts.updateGroup({ id: group.id, changes: { chainVersionId: version.id } }, context)
    const { stems } = await acts.bounceSession(
      { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'float-32', layerStems: false },
      context,
    )
    const { rows, startFrame, stages } = await measure()
    expect(startFrame).toBe(-4321)
    expect(rows).toMatchObject({ sampleRateHz: FS, frames: 4321 + 30_000 + 3 * FS, rowFrames: ROW })
    const bounced = powersOf(stems.find(({ path }) => path.includes('Doubles'))!.path)
    const out = await rowsOf(rows!.keys.at(-1)!)
    // The stem is as long as the whole stack; the rows end with the group, the last of them within a row.
    expect(out.powers.length).toBeLessThan(bounced.length)
    for (const [row, power] of bounced.slice(0, out.powers.length - 1).entries())
      if (power > 1e-8)
        expect(10 * Math.log10(out.powers[row]) + DROP_DB).toBeCloseTo(10 * Math.log10(power), 2)
    expect(bounced.filter((power) => power > 1e-8).length).toBeGreaterThan(100)
    // The expander runs on each layer before; the opto works on the sum.
    expect(stages[0]).toMatchObject({ kind: 'expander', maxReductionDb: null })
    expect(stages[0].remark).toMatch(/runs on each layer/)
    expect(stages[2].maxReductionDb).toBeGreaterThan(3)
  })

  it('are measured again from a changed stage on, and all of them where a layer that sounds is changed', async () => {
    const { shop, layer, measure, rowsOf } = await openGroup()
    const first = (await measure(-20)).rows!
    const second = (await measure(-25)).rows!
    expect(second.keys.slice(0, 3)).toEqual(first.keys.slice(0, 3))
    expect(second.keys[3]).not.toBe(first.keys[3])
    await measure(-27)
    // From the sound that was kept before the opto.
    const again = await measure(-20)
    expect(again.rows!.keys).toEqual(first.keys)

    await shop.handlers.updateLayer({ id: layer('D 3').id, changes: { gainDb: 0 } }, context)
    await shop.handlers.updateLayer({ id: layer('L 1').id, changes: { gainDb: -9 } }, context)
    expect((await measure(-20)).rows!.keys).toEqual(first.keys)
    const before = await rowsOf(first.keys[0])
    await shop.handlers.updateLayer({ id: layer('D 1').id, changes: { muted: true } }, context)
    const without = (await measure(-20)).rows!
    expect(without.keys[0]).not.toBe(first.keys[0])
    expect((await rowsOf(without.keys[0])).powers.length).toBeLessThan(before.powers.length)
  })

  it('of one centred mono layer have its own level, as a take has', async () => {
    const { shop, session, measure: _, ...rest } = await openGroup()
    const lead = shop.workplace.catalogue.groups
      .listOfSession(session.id)
      .find(({ name }) => name === 'Lead')!
    const song = await shop.handlers.measureGroup({ groupId: lead.id, stages: chain(-20) }, context)
    const take = await shop.handlers.measureChain(
      { takeId: rest.layer('L 1').takeId, stages: chain(-20) },
      context,
    )
    expect(song.joints.at(-1)!.loudnessLufs).toBeCloseTo(take.joints.at(-1)!.loudnessLufs!, 1)
  })

  it('are refused with a sentence where nothing sounds, and where all groups share one chain', async () => {
    const { shop, session, group, layer, measure } = await openGroup()
    for (const name of ['D 1', 'D 2'])
      await shop.handlers.updateLayer({ id: layer(name).id, changes: { muted: true } }, context)
    await expect(measure()).rejects.toThrow(`Nothing of ${group.name} sounds: place a take in it, or unmute`)
    await shop.handlers.updateSession({ id: session.id, changes: { chainSharing: 'shared' } }, context)
    await expect(measure()).rejects.toThrow(/share one chain/)
  })
})

async function voiceOf(shop: ReturnType<typeof openWorkshop>, artistId: number): Promise<number> {
  return (await shop.handlers.createVoice({ artistId, name: 'Spoken', note: '' }, context)).id
}
