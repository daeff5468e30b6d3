// D1 and D3: sections of a session in every file of a delivery, to the sample, as other programs read them.

import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import type { Session } from '../../../app/contract/entities.ts'
import type { InputOf } from '../../../app/contract/wire/commands.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, type Workshop, writeTake } from '../workshop.ts'

const hasFfprobe = hasTool('ffprobe')

async function withSections(): Promise<{ shop: Workshop; session: Session }> {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [take] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [whiteNoise(96_000, 1, 0.2)]),
  )
  await shop.place(session, take!)
  for (const [name, startSamples, lengthSamples, note] of [
    ['Verse <1>', 4801, 24_000, 'sung twice'],
    ['=Hook', 30_000, 40_001, ''],
    ['Breath', 80_000, 0, ''],
  ] as const) {
    await shop.handlers.addSection(
      { sessionId: session.id, name, startSamples, lengthSamples, note },
      context,
    )
  }
  return { shop, session }
}

const deliver = (
  { handlers, folder }: Workshop,
  session: Session,
  changes: Partial<InputOf<'deliver'>> = {},
) =>
  handlers.deliver(
    {
      ...{ sessionId: session.id, folder: join(folder, 'out'), sampleRateHz: null, encoding: 'pcm-24' },
      template: '{part}_{kind}{ver}',
      contents: { groups: true, layers: false, raw: true, aligned: true, reference: true },
      range: { kind: 'song' },
      ...changes,
    } as Parameters<Workshop['handlers']['deliver']>[0],
    context,
  )

it.skipIf(!hasFfprobe)('are in table, edit list, MIDI, sheet and WAV at their samples', async () => {
  const { shop, session } = await withSections()
  const { folder, files } = await deliver(shop, session)
  const read = (path: string): string => readFileSync(join(folder, path), 'utf8')
  const rows = read('04_Session/markers.csv').split('\r\n').slice(1, 4)
  expect(rows).toEqual([
    'Verse <1>,section,4801,24000,00:00:00.100,48000,sung twice',
    "'=Hook,section,30000,40001,00:00:00.625,48000,",
    'Breath,marker,80000,0,00:00:01.667,48000,',
  ])
  const { tracks } = JSON.parse(read('04_Session/session.otio'))
  expect(
    tracks.markers.map(
      (one: { marked_range: { start_time: { value: number }; duration: { value: number } } }) => [
        one.marked_range.start_time.value,
        one.marked_range.duration.value,
      ],
    ),
  ).toEqual([
    [4801, 24_000],
    [30_000, 40_001],
    [80_000, 0],
  ])
  const sheet = read('04_Session/recall.html')
  expect(sheet).toContain('Verse &lt;1&gt;')
  expect(sheet).not.toContain('Verse <1>')
  for (const file of files.filter(({ kind }) => ['group', 'aligned', 'reference'].includes(kind))) {
    const args = ['-v', 'error', '-of', 'json', '-show_chapters', join(folder, file.path)]
    const { chapters } = JSON.parse(execFileSync('ffprobe', args).toString()) as {
      chapters: { start: number; tags: { title: string } }[]
    }
    expect(chapters.map(({ start, tags }) => [start, tags.title])).toEqual([
      [4801, 'Verse <1>'],
      [30_000, '=Hook'],
      [80_000, 'Breath'],
    ])
  }
})

it('one of them can be delivered alone; its markers count from its start, and the sheet names it', async () => {
  const { shop, session } = await withSections()
  const [, hook, breath] = shop.workplace.catalogue.sections.listOfSession(session.id)
  const { folder } = await deliver(shop, session, { range: { kind: 'section', sectionId: hook!.id } })
  const table = readFileSync(join(folder, '04_Session/markers.csv'), 'utf8')
  expect(table.split('\r\n').slice(1, -1)).toEqual(["'=Hook,section,0,40001,00:00:00.000,48000,"])
  expect(readFileSync(join(folder, '04_Session/recall.html'), 'utf8')).toContain(
    '=Hook, from sample 30000 for 40001 samples',
  )
  await expect(
    deliver(shop, session, { range: { kind: 'section', sectionId: breath!.id } }),
  ).rejects.toMatchObject({
    code: 'invalid-input',
    message: expect.stringContaining('marker without a length'),
  })
  await expect(deliver(shop, session, { range: { kind: 'section', sectionId: 99 } })).rejects.toMatchObject({
    code: 'not-found',
    message: expect.stringContaining('no section 99; its sections are'),
  })
  await shop.handlers.updateSection({ id: hook!.id, changes: { startSamples: 31_000 } }, context)
  const { changes } = await deliver(shop, session)
  expect(changes).toContainEqual({
    kind: 'section-moved',
    name: '=Hook',
    from: '30000+40001',
    to: '31000+40001',
  })
})
