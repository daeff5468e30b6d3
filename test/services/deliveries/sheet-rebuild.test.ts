// The recall sheet and the takes are enough: a session that is built again from them alone gives the same sound, sample
// for sample. In 32-bit float, because dither depends on the numbers of rows in the catalogue.

import { execFileSync } from 'node:child_process'
import { mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import type { DeliveryOutcome } from '../../../app/contract/delivery/delivery-outcome.ts'
import { callHandler } from '../../../app/contract/wire/call-handler.ts'
import { haveMaterial } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'
import { rebuildFromSheet } from './rebuild-from-sheet.ts'

const CURVE = { frequenciesHz: [20, 100, 1000, 5000, 16_000], levelsDb: [-4.25, -1, 0, 3.5, -2] }
const STAGES: ChainStages = [
  { ...defaultStages.trim, settings: { gainDb: -1.5, invertPolarity: true } },
  { ...defaultStages.expander, settings: { ...defaultStages.expander.settings, ratio: 2.35, attackMs: 1.7 } },
  {
    ...defaultStages['mic-correction'],
    settings: {
      ...defaultStages['mic-correction'].settings,
      target: { name: 'House curve', curve: { frequenciesHz: [50, 1000, 12_000], levelsDb: [1, 0, -1.5] } },
      amountPercent: 87,
      proximity: { frequencyHz: 180.5, gainDb: -2.25, q: 0.7 },
    },
  },
  { ...defaultStages['low-cut'], settings: { frequencyHz: 92.4, slopeDbPerOctave: 24 } },
  defaultStages.tone,
  { ...defaultStages['de-ess'], settings: { ...defaultStages['de-ess'].settings, shape: 'bell' } },
  { ...defaultStages.drive, on: false },
  { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, makeUpDb: 2.05 } },
  defaultStages.ceiling,
]

/** MD5 of the decoded samples of every file of a folder, as another program reads them. */
const soundsIn = (folder: string): Record<string, string> =>
  Object.fromEntries(
    readdirSync(folder)
      .sort()
      .map((name) => [
        name,
        execFileSync(
          'ffmpeg',
          ['-v', 'error', '-i', join(folder, name), '-c:a', 'pcm_f32le', '-f', 'md5', '-'],
          {
            encoding: 'utf8',
          },
        ).trim(),
      ]),
  )

describe.skipIf(!haveMaterial('/usr/bin/ffmpeg'))(
  'a session that is built again from its recall sheet',
  () => {
    it.each(['own', 'shared'] as const)(
      'sounds the same with a chain that is %s',
      { timeout: 120_000 },
      async (sharing) => {
        const first = openWorkshop()
        const { handlers, workplace, folder } = first
        const artist = await handlers.createArtist({ name: 'Invented & Artist', note: '' }, context)
        const session = await handlers.createSession(
          {
            ...{ artistId: artist.id, songTitle: 'Night <Train>', date: '2026-10-01', sampleRateHz: 48_000 },
            ...{ tempoBpm: 91.5, beatsPerBar: 3, notes: '', panLaw: 'minus-4.5-db', startOfDayS: 3601 },
            chainSharing: sharing,
          },
          context,
        )
        const voice = await handlers.createVoice({ artistId: artist.id, name: 'sung', note: '' }, context)
        const mic = await handlers.createMic(
          { name: 'Broad', serial: '17', pattern: 'figure-8', note: '' },
          context,
        )
        const curve = await handlers.createCurve(
          {
            ...{
              micId: mic.id,
              name: 'On axis',
              source: 'invented',
              pattern: 'figure-8',
              distanceM: 0.3,
              note: '',
            },
            ...{ picture: null, points: CURVE },
          },
          context,
        )
        const write = (name: string, seed: number, sampleRateHz: number, channels: number) =>
          writeTake(
            join(folder, `${name}.wav`),
            Array.from({ length: channels }, (_, i) => whiteNoise(sampleRateHz / 2, seed + i, 0.1)),
            { sampleRateHz },
          )
        const paths = [
          write('lead', 1, 48_000, 1),
          write('double', 3, 44_100, 1),
          write('wide', 5, 48_000, 2),
        ]
        const { takes } = await handlers.importTakes(
          {
            ...{ sessionId: session.id, files: paths.map((path) => ({ path })) },
            ...{ voiceId: voice.id, micId: mic.id, curveId: curve.id },
          },
          context,
        )
        const take = (name: string) => takes.find((found) => found.name === name)!
        await first.place(session, take('lead'), 'Lead', {
          gainDb: -1.25,
          offsetSamples: 777,
          polarityInverted: true,
        })
        await first.place(session, take('double'), 'Doubles', { role: 'double', gainDb: -6.1, pan: -0.333 })
        await first.place(session, take('wide'), 'Doubles', { role: 'double', pan: 0.2, offsetSamples: 1234 })
        await first.place(session, take('lead'), 'Ad-libs', { role: 'ad-lib', muted: true, name: 'quiet' })
        const version = await handlers.saveChain(
          { voiceId: voice.id, chainId: null, name: 'Main', stages: STAGES, note: '' },
          context,
        )
        const groups = workplace.catalogue.groups.listOfSession(session.id)
        if (sharing === 'shared')
          await handlers.updateSession(
            { id: session.id, changes: { sharedChainVersionId: version.id } },
            context,
          )
        for (const group of groups.slice(0, 2))
          await handlers.updateGroup(
            {
              id: group.id,
              changes: { gainDb: -0.75, ...(sharing === 'own' ? { chainVersionId: version.id } : {}) },
            },
            context,
          )
        const deliver = async (shop: typeof first, sessionId: number) => {
          const out = join(shop.folder, 'out')
          mkdirSync(out)
          return (
            (await callHandler(
              shop.handlers,
              'deliver',
              { sessionId, folder: out, encoding: 'float-32' },
              context,
            )) as DeliveryOutcome
          ).folder
        }
        const delivered = await deliver(first, session.id)

        const second = openWorkshop()
        // Rows of the second catalogue get other numbers than those of the first.
        await second.createSession()
        const rebuilt = await rebuildFromSheet(
          second,
          readFileSync(join(delivered, '04_Session/recall.html'), 'utf8'),
          join(delivered, '02_Dry/Raw'),
        )
        const again = await deliver(second, rebuilt.id)
        for (const part of ['01_Processed', '02_Dry/Aligned', '03_Reference'])
          expect(soundsIn(join(again, part))).toEqual(soundsIn(join(delivered, part)))
        const sheetOf = (where: string) =>
          readFileSync(join(where, '04_Session/recall.html'), 'utf8').split('<h2>Chains</h2>')[1]!
        expect(sheetOf(again).split('<h2>')[0]).toEqual(sheetOf(delivered).split('<h2>')[0])
      },
    )
  },
)
