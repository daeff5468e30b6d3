// The whole job on real speech: the 48 kHz voice clips of Debian's alsa-utils through intake,
// chain, stack, bounce and verify, judged by ffmpeg and sox.

import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { context, openWorkshop } from '../workshop.ts'

const CLIPS = '/usr/share/sounds/alsa'
const clip = (name: string): string => join(CLIPS, `${name}.wav`)
const hasAll = haveMaterial(clip('Front_Center')) && hasTool('ffmpeg') && hasTool('sox')

/** Integrated loudness by ffmpeg's ebur128, an independent BS.1770 meter. */
function loudnessLufs(path: string): number {
  const { stderr } = {
    stderr: execFileSync('sh', [
      '-c',
      `ffmpeg -hide_banner -i "${path}" -af ebur128 -f null - 2>&1`,
    ]).toString(),
  }
  return Number(/Integrated loudness:\s+I:\s+(-?[\d.]+) LUFS/.exec(stderr)?.[1])
}

it.skipIf(!hasAll)('goes in as speech and comes out as verified stems', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const takes = await shop.takeIn(
    session,
    ...['Front_Center', 'Rear_Left', 'Rear_Right', 'Side_Left'].map(clip),
  )
  expect(takes.every((take) => take.channels === 1 && take.sampleRateHz === 48_000)).toBe(true)
  const byName = (name: string) => takes.find((take) => take.name === name) ?? takes[0]
  await shop.place(session, byName('Front_Center'))
  await shop.place(session, byName('Rear_Left'), 'Doubles', {
    role: 'double',
    pan: -0.7,
    gainDb: -6,
    offsetSamples: 1200,
  })
  await shop.place(session, byName('Rear_Right'), 'Doubles', {
    role: 'double',
    pan: 0.7,
    gainDb: -6,
    offsetSamples: 900,
  })
  await shop.place(session, byName('Side_Left'), 'Ad-libs', {
    role: 'ad-lib',
    pan: 0.2,
    offsetSamples: 48_000,
  })

  const voice = await shop.handlers.createVoice(
    { artistId: session.artistId, name: 'Speech', note: '' },
    context,
  )
  const version = await shop.handlers.saveChain(
    { voiceId: voice.id, chainId: null, name: 'Speech', stages: Object.values(defaultStages), note: '' },
    context,
  )
  await shop.handlers.updateSession(
    { id: session.id, changes: { chainSharing: 'shared', sharedChainVersionId: version.id } },
    context,
  )
  const outcome = await shop.handlers.bounceSession(
    { sessionId: session.id, folder: join(shop.folder, 'out'), encoding: 'pcm-24', layerStems: true },
    context,
  )
  const { same, differing } = await shop.handlers.verifyBounce({ manifestPath: outcome.manifest }, context)
  expect(differing).toEqual([])
  expect(same).toHaveLength(7)

  for (const { path, name } of outcome.stems.slice(0, 3)) {
    const loudness = loudnessLufs(path)
    expect(loudness, name).toBeGreaterThan(-45)
    expect(loudness, name).toBeLessThan(-8)
    // Speech and not noise or silence: sox's statistics of the stem.
    const stats = execFileSync('sh', ['-c', `sox "${path}" -n stats 2>&1`]).toString()
    const crest = Number(/Crest factor[\s-]+([\d.]+)/.exec(stats)?.[1])
    expect(20 * Math.log10(crest), name).toBeGreaterThan(9)
    expect(Number(/Pk lev dB\s+(-?[\d.]+)/.exec(stats)?.[1]), name).toBeLessThanOrEqual(-1)
  }
})
