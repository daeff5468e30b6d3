// The columns of the table of takes. A further column is one more entry here.

import type { ReactNode } from 'react'
import type { Session } from '../../../app/contract/entities.ts'
import {
  formatChannels,
  formatDuration,
  formatFile,
  formatLevel,
  formatRate,
} from '../../../app/words/format.ts'
import { formatTimeStamp, timeStampS } from '../../formats/time-stamp.ts'
import { Button } from '../../parts/button.tsx'
import { PlaySign, StopSign } from '../../parts/signs.tsx'
import { Thumbnail } from '../../waveform/thumbnail.tsx'
import { hearTake } from './hear-take.ts'
import type { TakeRow } from './take-rows.ts'

/** What cells need to know besides their row. */
interface CellSurroundings {
  readonly session: Session
  readonly theme: string
  readonly heardId: number | null
}

export interface TakeColumn {
  readonly key: string
  readonly name: string
  readonly unit?: string
  readonly isNumber?: true
  /** Fixed width, or a share of the remaining space with its least width. */
  readonly width: number | { readonly share: number; readonly leastPx: number }
  /** Width of the window from which it is shown; narrower windows leave it out. */
  readonly fromPx?: number
  /** Whether the takes have anything to tell in it; always without. */
  readonly isTold?: (rows: readonly TakeRow[]) => boolean
  /** What the rows are sorted by; none without. */
  readonly value?: (row: TakeRow) => string | number | null
  readonly cell: (row: TakeRow, around: CellSurroundings) => ReactNode
}

const words = (text: string, isSoft = false): ReactNode => (
  <span className={`take-text ${isSoft ? 'soft' : ''}`} title={text}>
    {text}
  </span>
)

const level = (value: number | null): string => formatLevel(value, '')

/** All columns, from left to right. */
const TAKE_COLUMNS: readonly TakeColumn[] = [
  {
    key: 'number',
    name: 'No.',
    isNumber: true,
    width: 52,
    value: ({ number }) => number,
    cell: ({ number }) => <span className="soft">{number}</span>,
  },
  {
    key: 'take',
    name: 'Take',
    width: { share: 8, leastPx: 220 },
    value: ({ take }) => take.name,
    cell: ({ take }, { session, heardId }) => (
      <span className="take-cell">
        <Button
          look="sign"
          className="take-play"
          aria-label={`${heardId === take.id ? 'Stop' : 'Play'} ${take.name}`}
          onPress={() => hearTake(take, session)}
        >
          {heardId === take.id ? <StopSign /> : <PlaySign />}
        </Button>
        <span className="take-text take-name" title={take.name}>
          {take.name}
        </span>
      </span>
    ),
  },
  {
    key: 'wave',
    name: 'Waveform',
    width: 80,
    fromPx: 1180,
    cell: ({ take }, { theme }) => <Thumbnail takeId={take.id} width={64} height={20} theme={theme} />,
  },
  {
    key: 'stack',
    name: 'In stack',
    width: 84,
    value: ({ placed }) => placed.map(({ role }) => role).join(', '),
    cell: ({ placed, guess }) =>
      placed.length > 0 ? (
        words(placed.map(({ role }) => role).join(', '))
      ) : (
        <span
          className="take-text soft"
          title={guess === null ? 'Not placed; its name tells no role' : `Not placed; its name says ${guess}`}
        >
          not yet
        </span>
      ),
  },
  {
    key: 'format',
    name: 'Format',
    width: 108,
    fromPx: 1500,
    value: ({ take }) => formatFile(take),
    cell: ({ take }) => words(formatFile(take)),
  },
  {
    key: 'rate',
    name: 'Rate',
    unit: 'kHz',
    isNumber: true,
    width: 88,
    value: ({ take }) => take.sampleRateHz,
    cell: ({ take }, { session }) =>
      take.sampleRateHz === session.sampleRateHz ? (
        take.sampleRateHz / 1000
      ) : (
        <span
          className="take-converted"
          title={`Converted to ${formatRate(session.sampleRateHz)} when it is heard and bounced`}
        >
          {take.sampleRateHz / 1000} → {session.sampleRateHz / 1000}
        </span>
      ),
  },
  {
    key: 'channels',
    name: 'Channels',
    width: 84,
    fromPx: 1180,
    isTold: (rows) => rows.some(({ take }) => take.channels > 1),
    value: ({ take }) => take.channels,
    cell: ({ take }) => words(formatChannels(take.channels)),
  },
  {
    key: 'stamp',
    name: 'Time stamp',
    isNumber: true,
    width: 112,
    isTold: (rows) => rows.some(({ take }) => timeStampS(take) !== null),
    value: ({ take }) => timeStampS(take),
    cell: ({ take }) => {
      const stampS = timeStampS(take)
      return stampS === null ? '—' : formatTimeStamp(stampS)
    },
  },
  {
    key: 'length',
    name: 'Length',
    isNumber: true,
    width: 84,
    value: ({ take }) => take.frames / take.sampleRateHz,
    cell: ({ take }) => formatDuration(take.frames / take.sampleRateHz),
  },
  {
    key: 'loudness',
    name: 'Loudness',
    unit: 'LUFS',
    isNumber: true,
    width: 88,
    value: ({ take }) => take.facts.integratedLufs,
    cell: ({ take }) => level(take.facts.integratedLufs),
  },
  {
    key: 'range',
    name: 'Range',
    unit: 'LU',
    isNumber: true,
    width: 78,
    fromPx: 1180,
    value: ({ take }) => take.facts.loudnessRangeLu,
    cell: ({ take }) => level(take.facts.loudnessRangeLu),
  },
  {
    key: 'true-peak',
    name: 'True peak',
    unit: 'dBTP',
    isNumber: true,
    width: 88,
    value: ({ take }) => take.facts.truePeakDbtp,
    cell: ({ take }) => level(take.facts.truePeakDbtp),
  },
  {
    key: 'sample-peak',
    name: 'Sample peak',
    unit: 'dBFS',
    isNumber: true,
    width: 108,
    fromPx: 1500,
    value: ({ take }) => take.facts.samplePeakDbfs,
    cell: ({ take }) => level(take.facts.samplePeakDbfs),
  },
  {
    key: 'findings',
    name: 'Findings',
    width: { share: 4, leastPx: 112 },
    value: ({ take, findings }) => (take.facts.findings.length === 0 ? null : findings),
    cell: ({ findings, isSerious, isMissing }) => (
      <span className="take-cell">
        {isMissing ? <span className="take-missing">file missing</span> : null}
        {findings !== '' ? (
          <span className={`take-text ${isSerious ? 'take-findings' : ''}`} title={findings}>
            {findings}
          </span>
        ) : isMissing ? null : (
          <span className="soft">none</span>
        )}
      </span>
    ),
  },
  {
    key: 'voice',
    name: 'Voice',
    width: 84,
    value: ({ voiceName }) => voiceName,
    cell: ({ voiceName }) => words(voiceName === '' ? 'not set' : voiceName, voiceName === ''),
  },
  {
    key: 'mic',
    name: 'Mic',
    width: { share: 3, leastPx: 104 },
    value: ({ micName }) => micName,
    cell: ({ micName }) => words(micName === '' ? 'not set' : micName, micName === ''),
  },
]

/** The columns for a window of this width. */
export const columnsFor = (widthPx: number, rows: readonly TakeRow[]): readonly TakeColumn[] =>
  TAKE_COLUMNS.filter(({ fromPx = 0, isTold }) => widthPx >= fromPx && (isTold?.(rows) ?? true))
