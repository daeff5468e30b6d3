// Builds a session again as a person would who has only a recall sheet and the takes: everything is read from the text of
// the sheet, nothing from the manifest or the catalogue that it came from.

import { join } from 'node:path'
import type { Band, ChainStage, ChainStages } from '../../../app/contract/chain-document.ts'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { CurvePoints } from '../../../app/contract/curve.ts'
import type { Role, Session } from '../../../app/contract/entities.ts'
import { settingsOfKind } from '../../../app/words/chain/setting-names.ts'
import { BAND_NAMES, STAGE_NAMES } from '../../../app/words/chain/stage-words.ts'
import { parsePan } from '../../../app/words/format.ts'
import { PAN_LAW_WORDS } from '../../../app/words/pan-law.ts'
import { context, type Workshop } from '../workshop.ts'

const plain = (html: string): string =>
  html
    .replaceAll(/<[^>]*>/g, '')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&')
    .replaceAll('\u2009', ' ')
    .replaceAll('\u00a0', ' ')
    .replaceAll('\u202f', ' ')
    .replaceAll('−', '-')

const all = (text: string, pattern: RegExp): string[] => [...text.matchAll(pattern)].map((match) => match[1]!)
const one = (text: string, pattern: RegExp): string => {
  const found = pattern.exec(text)?.[1]
  if (found === undefined) throw new Error(`the sheet does not say ${pattern}`)
  return found
}
const numberIn = (text: string): number => Number(one(text, /([-+]?\d+(?:\.\d+)?)/))

interface SheetText {
  section(title: string): string
  facts(title: string): Map<string, string>
  /** Rows by the names of their columns. */
  table(title: string): Map<string, string>[]
}

function readSheet(html: string): SheetText {
  const section = (title: string): string =>
    html.split('<section>').find((part) => part.includes(`<h2>${title}</h2>`)) ?? ''
  return {
    section,
    facts: (title) =>
      new Map(
        [...section(title).matchAll(/<dt>(.*?)<\/dt><dd>(.*?)<\/dd>/gs)].map(([, name, value]) => [
          plain(name!),
          plain(value!),
        ]),
      ),
    table(title) {
      const [head = '', body = ''] = section(title).split('</thead>')
      const names = all(head, /<th[^>]*>(.*?)<\/th>/gs).map(plain)
      return all(body.split('</table>')[0]!, /<tr>(.*?)<\/tr>/gs).map(
        (row) =>
          new Map(
            all(row, /<td[^>]*>(.*?)<\/td>/gs).map((cell, k) => [names[k] ?? '', plain(cell)] as const),
          ),
      )
    },
  }
}

const bandOf = (words: string): Band => {
  const match = /^(?:Band \d+: |Proximity )?([a-z ]+) ([-+]?[\d.]+) dB at ([\d.]+) Hz, Q ([\d.]+)$/.exec(
    words,
  )
  if (match === null) throw new Error(`no band: ${words}`)
  const shape = (Object.keys(BAND_NAMES) as Band['shape'][]).find(
    (key) => BAND_NAMES[key].toLowerCase() === match[1],
  )!
  return { shape, gainDb: Number(match[2]), frequencyHz: Number(match[3]), q: Number(match[4]) }
}

const curveOf = (words: string): CurvePoints => {
  const points = words.split('; ').map((point) => /^([\d.]+) Hz ([-+]?[\d.]+)$/.exec(point)!)
  return { frequenciesHz: points.map(([, hz]) => Number(hz)), levelsDb: points.map(([, , db]) => Number(db)) }
}

/** @param targets curves by name, as printed below the stages */
function stageOf(words: string, targets: ReadonlyMap<string, CurvePoints>): ChainStage {
  const [title = '', rest = ''] = [words.slice(0, words.indexOf(': ')), words.slice(words.indexOf(': ') + 2)]
  const name = title.replace(/ \(off\)$/, '')
  const kind = (Object.keys(STAGE_NAMES) as ChainStage['kind'][]).find((key) => STAGE_NAMES[key] === name)!
  const parts = rest.split('; ')
  const settings: Record<string, unknown> = { ...defaultStages[kind].settings }
  for (const { key, label: shown } of settingsOfKind(kind)) {
    const label = plain(shown)
    const part = parts.find((text) => text.startsWith(`${label} `))
    if (part === undefined) throw new Error(`${name} has no ${label}`)
    settings[key] = numberIn(part.slice(label.length))
  }
  const worded = (label: string): string => one(rest, new RegExp(`(?:^|; )${label} ([^;]+)`))
  if (kind === 'trim') settings.invertPolarity = worded('Polarity') === 'inverted'
  if (kind === 'low-cut') settings.slopeDbPerOctave = numberIn(worded('Slope'))
  if (kind === 'de-ess') settings.shape = bandOf(`${worded('Shape')} 0 dB at 1 Hz, Q 1`).shape
  if (kind === 'tone') settings.bands = rest === 'no bands' ? [] : parts.map(bandOf)
  if (kind === 'mic-correction') {
    const target = worded('Target')
    settings.target = target === 'flat' ? null : { name: target, curve: targets.get(target)! }
    const proximity = parts.find((text) => text.startsWith('Proximity '))
    if (proximity !== undefined) {
      const { shape: _, ...shelf } = bandOf(proximity)
      settings.proximity = shelf
    }
  }
  return { kind, on: !title.endsWith('(off)'), settings } as ChainStage
}

function chainsOf(sheet: SheetText) {
  const parts = sheet.section('Chains').split('<h3>').slice(1)
  return parts.map((part) => {
    const [heading = ''] = part.split('</h3>')
    const match = /^(.*): (.*), version (\S+)/.exec(plain(heading))!
    const targets = new Map(
      all(part, /<p class="small">(.*?)<\/p>/gs)
        .map(plain)
        .map((text) => /^Target (.*), dB: (.*)$/s.exec(text)!)
        .map(([, name, points]) => [name!, curveOf(points!)] as const),
    )
    const stages: ChainStages = all(part, /<li>(.*?)<\/li>/gs).map((text) => stageOf(plain(text), targets))
    return { groups: match[1]!, name: match[2]!, stages }
  })
}

/** @param rawFolder with the takes, under the names that the sheet says */
export async function rebuildFromSheet(
  { handlers, workplace }: Workshop,
  html: string,
  rawFolder: string,
): Promise<Session> {
  const sheet = readSheet(html)
  const facts = sheet.facts('Session')
  const fact = (name: string): string => facts.get(name) ?? ''
  const tempo = fact('Tempo')
  const law = Object.entries(PAN_LAW_WORDS).find(([, words]) =>
    fact('Pan law').startsWith(
      words.replaceAll('−', '-').replaceAll('\u00a0', ' ').replaceAll('\u202f', ' '),
    ),
  )!
  const isShared = fact('Chains').startsWith('one for all')
  const artist = await handlers.createArtist({ name: one(fact('Artist'), /^([^:]*)/), note: '' }, context)
  const session = await handlers.createSession(
    {
      ...{ artistId: artist.id, songTitle: fact('Song'), date: fact('Date'), notes: '' },
      sampleRateHz: Number(one(fact('Sample rate'), /\((\d+) Hz\)/)) as 48_000,
      tempoBpm: tempo.startsWith('not set') ? null : numberIn(tempo),
      beatsPerBar: Number(one(tempo, /, (\d+)\//)),
      panLaw: law[0] as Session['panLaw'],
      startOfDayS: fact('Song starts at')
        .slice(0, 8)
        .split(':')
        .reduce((sum, part) => 60 * sum + Number(part), 0),
      chainSharing: isShared ? 'shared' : 'own',
    },
    context,
  )
  const voices = new Map<string, number>()
  const mics = new Map<string, { micId: number; curveId: number | null }>()
  const curves = all(sheet.section('Mic corrections as fitted'), /<p class="small">(.*?)<\/p>/gs)
    .map(plain)
    .map((text) => /^Curve (.*) \(([^()]*)\), (?:.*, )?dB: (.*)$/s.exec(text)!)
  const takeIds = new Map<string, number>()
  for (const row of sheet.table('Takes')) {
    const name = row.get('Take')!.replace(/ \(not used\)$/, '')
    const voice = row.get('Voice')!
    if (voice !== 'not set' && !voices.has(voice))
      voices.set(
        voice,
        (await handlers.createVoice({ artistId: artist.id, name: voice, note: '' }, context)).id,
      )
    const micWords = row.get('Mic')!
    if (micWords !== 'not set' && !mics.has(micWords)) {
      const [micName = ''] = micWords.split(', ')
      const { id: micId } = await handlers.createMic(
        { name: micName, serial: '', pattern: 'cardioid', note: '' },
        context,
      )
      const curve = curves.find(([, curveName]) => micWords.endsWith(`curve ${curveName}`))
      const made =
        curve === undefined
          ? null
          : await handlers.createCurve(
              {
                ...{
                  micId,
                  name: curve[1]!,
                  source: 'invented',
                  pattern: 'cardioid',
                  distanceM: null,
                  note: '',
                },
                ...{ picture: null, points: curveOf(curve[3]!) },
              },
              context,
            )
      mics.set(micWords, { micId, curveId: made?.id ?? null })
    }
    const outcome = await handlers.importTakes(
      {
        ...{ sessionId: session.id, files: [{ path: join(rawFolder, row.get('File')!) }] },
        ...{ voiceId: voices.get(voice) ?? null, ...(mics.get(micWords) ?? { micId: null, curveId: null }) },
      },
      context,
    )
    const [take] = outcome.takes
    if (take === undefined) throw new Error(outcome.refused[0]?.failure.message)
    await handlers.updateTake({ id: take.id, changes: { name } }, context)
    takeIds.set(name, take.id)
  }
  // The groups in the order of the sheet.
  const before = workplace.catalogue.groups.listOfSession(session.id)
  for (const { id } of before) await handlers.removeGroup({ id }, context)
  const chains = chainsOf(sheet)
  const versions = new Map<string, number>()
  for (const { groups, name, stages } of chains) {
    const voiceId =
      [...voices.values()][0] ??
      (await handlers.createVoice({ artistId: artist.id, name: 'voice', note: '' }, context)).id
    const version = await handlers.saveChain({ voiceId, chainId: null, name, stages, note: '' }, context)
    versions.set(groups, version.id)
  }
  const groupIds = new Map<string, number>()
  for (const [name, words] of sheet.facts('Groups and layers')) {
    const group = await handlers.createGroup(
      { sessionId: session.id, name, chainVersionId: null, gainDb: 0 },
      context,
    )
    const chain = [...versions].find(([groups]) => groups.split(', ').includes(name))?.[1] ?? null
    await handlers.updateGroup(
      { id: group.id, changes: { gainDb: numberIn(words), ...(isShared ? {} : { chainVersionId: chain }) } },
      context,
    )
    groupIds.set(name, group.id)
  }
  const shared = versions.get('all groups')
  if (isShared && shared !== undefined)
    await handlers.updateSession({ id: session.id, changes: { sharedChainVersionId: shared } }, context)
  for (const row of sheet.table('Groups and layers')) {
    const name = row.get('Layer')!
    await handlers.addLayer(
      {
        ...{ sessionId: session.id, groupId: groupIds.get(row.get('Group')!)! },
        ...{
          takeId: takeIds.get(row.get('Take')!)!,
          name: name.replace(/(, muted)?(, polarity inverted)?$/, ''),
        },
        role: row.get('Role') as Role,
        offsetSamples: Number(row.get('Offset, samples')),
        gainDb: numberIn(row.get('Gain')!),
        pan: parsePan(row.get('Pan')!)!,
        muted: /, muted(, polarity inverted)?$/.test(name),
        polarityInverted: name.endsWith(', polarity inverted'),
      },
      context,
    )
  }
  return session
}
