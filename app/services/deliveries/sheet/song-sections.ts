// Sections of the song and layers on the recall sheet.

import type { Layer, SessionContents } from '../../../contract/entities.ts'
import type { SheetSection } from '../../../formats/sheet/sheet-page.ts'
import { formatBars, hasTempo, timeBaseOf } from '../../../words/bars/bar-words.ts'
import { exactGain, exactNumber, exactPan } from '../../../words/format.ts'
import { layerStateWords } from '../../../words/layers.ts'
import type { SheetSubject } from './sheet-subject.ts'

/** Places as bars where the tempo is known. */
function barsOf({ session }: SessionContents): ((frame: number) => string) | null {
  const base = timeBaseOf(session)
  return hasTempo(base) ? (frame) => formatBars(frame, base) : null
}

/** Named sections with their places; none where the song has none. */
export function sectionSection({ markers, contents }: SheetSubject): SheetSection[] {
  if (markers.length === 0) return []
  const bars = barsOf(contents)
  return [
    {
      title: 'Sections of the song',
      blocks: [
        {
          kind: 'table',
          head: ['Name', ...(bars === null ? [] : ['Bar', 'To bar']), 'First sample', 'Samples', 'Note'],
          figures: bars === null ? [1, 2] : [1, 2, 3, 4],
          rows: markers.map(({ name, startFrame, frames, note }) => [
            name,
            ...(bars === null ? [] : [bars(startFrame), bars(startFrame + frames)]),
            String(startFrame),
            String(frames),
            note,
          ]),
        },
      ],
    },
  ]
}

/** Every layer at its place, muted ones too, with the gains of its group. */
export function layerSection({ contents }: SheetSubject): SheetSection {
  const { session, groups, layers, takes } = contents
  const bars = barsOf(contents)
  const row = (group: string, layer: Layer): string[] => [
    group,
    `${layer.name}${layerStateWords(layer)}`,
    layer.role,
    takes.find(({ id }) => id === layer.takeId)?.name ?? '',
    ...(bars === null ? [] : [bars(layer.offsetSamples)]),
    String(layer.offsetSamples),
    exactNumber((layer.offsetSamples / session.sampleRateHz) * 1000, 1),
    exactGain(layer.gainDb),
    exactPan(layer.pan),
  ]
  return {
    title: 'Groups and layers',
    blocks: [
      {
        kind: 'facts',
        facts: groups.map(({ name, gainDb }) => [name, `output ${exactGain(gainDb)}`] as const),
      },
      {
        kind: 'table',
        head: [
          ...['Group', 'Layer', 'Role', 'Take'],
          ...(bars === null ? [] : ['Bar']),
          ...['Offset, samples', 'Offset, ms', 'Gain', 'Pan'],
        ],
        figures: bars === null ? [4, 5, 6, 7] : [4, 5, 6, 7, 8],
        rows: groups.flatMap(({ id, name }) =>
          layers.filter(({ groupId }) => groupId === id).map((layer) => row(name, layer)),
        ),
      },
    ],
  }
}
