// A take of which only the first part is there is used as it is everywhere, and says so.

import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { openAudioFile } from '../../../app/audio/open-audio-file.ts'
import { Manifest } from '../../../app/contract/manifest.ts'
import { measureFile, measureFileLevels } from '../../../app/services/single-files/measure-file.ts'
import { processFile } from '../../../app/services/single-files/process-file.ts'
import { findingFigure, findingName } from '../../../app/words/findings.ts'
import { run, samplesOf } from '../../audio/outside-tools.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const FRAMES = 48_000
const PRESENT = 20_000
const SENTENCE = 'cut.wav is cut short: 0.4 of 1.0 s are there.'
const FIGURE = { kind: 'cut-short', presentSeconds: PRESENT / 48_000, promisedSeconds: 1 }

/** Noise on 16-bit words of which `PRESENT` frames and one byte of the next are there. */
function cutTake(folder: string): string {
  const words = whiteNoise(FRAMES, 3, 0.5).map((x) => Math.round(x * 2 ** 15) / 2 ** 15)
  const whole = writeTake(join(folder, 'whole.wav'), [words], { encoding: 'pcm-16' })
  const bytes = readFileSync(whole)
  const path = join(folder, 'cut.wav')
  writeFileSync(path, bytes.subarray(0, bytes.length - 2 * (FRAMES - PRESENT) + 1))
  return path
}

it('is imported, and marked', async () => {
  const { folder, handlers, workplace, createSession } = openWorkshop()
  const session = await createSession()
  const settings = { voiceId: null, micId: null, curveId: null }
  const files = [{ path: cutTake(folder) }]
  const outcome = await handlers.importTakes({ sessionId: session.id, files, ...settings }, context)
  expect(outcome).toMatchObject({ takes: [{ frames: PRESENT }], refused: [], remarks: [SENTENCE] })
  const [take] = workplace.catalogue.takes.listOfSession(session.id)
  expect(take.facts.findings[0]).toMatchObject(FIGURE)
  expect(findingName('cut-short')).toBe('Cut short')
  expect(findingFigure(take.facts.findings[0])).toBe('0.4 of 1.0 s are there')
})

it('is heard, bounced and verified to its last whole frame', async () => {
  const { folder, handlers, createSession, takeIn, place } = openWorkshop()
  const session = await createSession()
  const path = cutTake(folder)
  const [take] = await takeIn(session, path)
  await place(session, take)
  const target = { kind: 'stack', sessionId: session.id } as const
  const opened = await handlers.openPlayback(
    { target, draft: null, compare: null, lowerDb: 0, solo: null, tried: null },
    context,
  )
  expect(opened.frames).toBe(PRESENT)
  const { manifest } = await handlers.bounceSession(
    { sessionId: session.id, folder: join(folder, 'out'), encoding: 'float-32', layerStems: true },
    context,
  )
  const { stems } = Manifest.parse(JSON.parse(readFileSync(manifest, 'utf8')))
  const layer = stems.find(({ channels }) => channels === 1)
  const [stem, original] = [join(manifest, '..', layer?.file ?? ''), path].map((one) => openAudioFile(one))
  expect(samplesOf(stem)).toEqual(samplesOf(original))
  for (const source of [stem, original]) source.close()
  const verification = await handlers.verifyBounce({ manifestPath: manifest }, context)
  expect(verification.differing).toEqual([])
  expect(verification.same.length).toBeGreaterThan(0)
})

it('is measured and processed with the same remark', async () => {
  const { folder } = openWorkshop()
  const path = cutTake(folder)
  const remark = SENTENCE.replace('cut.wav', path)
  for (const measure of [measureFile, measureFileLevels]) {
    const facts = await measure(path, context)
    expect(facts).toMatchObject({ frames: PRESENT, remarks: [remark] })
    expect(facts.findings[0]).toMatchObject(FIGURE)
  }
  const chain = join(folder, 'chain.json')
  writeFileSync(chain, JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'none', stages: [] }))
  const to = join(folder, 'processed.wav')
  const paths = { chainPath: chain, micCurvePath: undefined, targetCurvePath: undefined }
  const { remarks } = await processFile({ from: path, to, ...paths, encoding: 'float-32' }, context)
  expect(remarks).toEqual([remark])
  const [done, original] = [to, path].map((one) => openAudioFile(one))
  expect(samplesOf(done)).toEqual(samplesOf(original))
  for (const source of [done, original]) source.close()
})

it.skipIf(!hasTool('flac'))('is measured and processed with the same remark as FLAC', async () => {
  const { folder } = openWorkshop()
  const flac = run('flac', '-s', '-c', writeTake(join(folder, 'whole.wav'), [whiteNoise(FRAMES * 2, 4, 0.5)]))
  const path = join(folder, 'cut.flac')
  writeFileSync(path, flac.subarray(0, flac.length >> 1))
  const remark = expect.stringMatching(/cut\.flac is cut short: \d\.\d of 2\.0 s are there\.$/)
  expect(await measureFileLevels(path, context)).toMatchObject({ container: 'flac', remarks: [remark] })
  const chain = join(folder, 'chain.json')
  writeFileSync(chain, JSON.stringify({ format: 'takeloft-chain', version: 1, name: 'none', stages: [] }))
  const paths = { chainPath: chain, micCurvePath: undefined, targetCurvePath: undefined }
  const to = join(folder, 'processed.wav')
  const { remarks } = await processFile({ from: path, to, ...paths, encoding: 'float-32' }, context)
  expect(remarks).toEqual([remark])
})

it('that is cut after it was imported is not played as if it were whole', async () => {
  const { folder, handlers, tampered, createSession, takeIn, place } = openWorkshop()
  const session = await createSession()
  const path = writeTake(join(folder, 'later.wav'), [whiteNoise(FRAMES, 5, 0.5)])
  const [take] = await takeIn(session, path)
  await place(session, take)
  tampered.add(path)
  writeFileSync(path, readFileSync(path).subarray(0, 20_000))
  const target = { kind: 'stack', sessionId: session.id } as const
  await expect(
    handlers.openPlayback(
      { target, draft: null, compare: null, lowerDb: 0, solo: null, tried: null },
      context,
    ),
  ).rejects.toMatchObject({ code: 'changed' })
})
