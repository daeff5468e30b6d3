// The iXML chunk of a WAVE file (open, without a schema on purpose, every element optional): true names in UTF-8,
// which the other chunks cannot hold. It has no time of the clock, so that the same file comes out again.

import type { FileMarker } from '../markers/file-marker.ts'
import { escapeMarkup } from '../text/escape-markup.ts'
import { waveChunk } from './wave-chunk.ts'

/** What an iXML chunk says. */
export interface IxmlFacts {
  readonly project: string
  /** Name of the take or stem. */
  readonly take: string
  readonly note: string
  /** 32 hexadecimal digits, unique to the file. */
  readonly fileUid: string
  readonly sampleRateHz: number
  readonly bits: number
  /** Must equal that of the bext chunk, which wins where they differ. */
  readonly timeReferenceSamples: number
  readonly channels: number
  /** What the tracks are: a role, or a group. */
  readonly function: string
  readonly markers: readonly FileMarker[]
}

type Node = readonly [tag: string, contents: string | number | readonly Node[]]

const write = ([tag, contents]: Node): string =>
  `<${tag}>${Array.isArray(contents) ? contents.map(write).join('') : escapeMarkup(String(contents))}</${tag}>`

/** A 64-bit number as two 32-bit halves. */
const halves = (value: number): { readonly high: number; readonly low: number } => ({
  high: Math.floor(value / 2 ** 32),
  low: value % 2 ** 32,
})

/** The chunk with its document. */
export function ixmlChunk(facts: IxmlFacts): Buffer {
  const stamp = halves(facts.timeReferenceSamples)
  const names = facts.channels === 1 ? [facts.take] : ['L', 'R'].map((side) => `${facts.take} ${side}`)
  const document: Node = [
    'BWFXML',
    [
      ['IXML_VERSION', '1.61'],
      ['PROJECT', facts.project],
      ['TAKE', facts.take],
      ['NOTE', facts.note],
      ['FILE_UID', facts.fileUid],
      [
        'SPEED',
        [
          ['FILE_SAMPLE_RATE', facts.sampleRateHz],
          ['AUDIO_BIT_DEPTH', facts.bits],
          ['TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI', stamp.high],
          ['TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO', stamp.low],
          ['TIMESTAMP_SAMPLE_RATE', facts.sampleRateHz],
        ],
      ],
      [
        'TRACK_LIST',
        [
          ['TRACK_COUNT', names.length],
          ...names.map(
            (name, k): Node => [
              'TRACK',
              [
                ['CHANNEL_INDEX', k + 1],
                ['INTERLEAVE_INDEX', k + 1],
                ['NAME', name],
                ['FUNCTION', facts.function],
              ],
            ],
          ),
        ],
      ],
      ...(facts.markers.length === 0 ? [] : [syncPoints(facts.markers)]),
    ],
  ]
  return waveChunk(
    'iXML',
    Buffer.from(`<?xml version="1.0" encoding="UTF-8"?>\n${write(document)}\n`, 'utf8'),
  )
}

const syncPoints = (markers: readonly FileMarker[]): Node => [
  'SYNC_POINT_LIST',
  [
    ['SYNC_POINT_COUNT', markers.length],
    ...markers.map((marker): Node => {
      const { high, low } = halves(marker.startFrame)
      return [
        'SYNC_POINT',
        [
          ['SYNC_POINT_TYPE', 'RELATIVE'],
          ['SYNC_POINT_FUNCTION', 'MARKER_GENERIC'],
          ['SYNC_POINT_COMMENT', marker.name],
          ['SYNC_POINT_LOW', low],
          ['SYNC_POINT_HIGH', high],
          ['SYNC_POINT_EVENT_DURATION', marker.frames],
        ],
      ]
    }),
  ],
]
