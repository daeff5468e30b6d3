// Where the sessions of a voice's book are drawn, and the range of each lane.

import type { BookFigure, BookSession, SeasonFigure } from '../../../app/contract/book/voice-book.ts'
import { isPitch } from './figure-words.ts'

/** The middle of each session's column. @param width in pixels */
export const columnsOf = (count: number, width: number): number[] =>
  Array.from({ length: count }, (_, i) => ((i + 0.5) * width) / count)

/** A lane shows at least so much of a figure, so that small differences look small: dB, semitones. */
const LEAST_RANGE = { balance: 8, pitch: 4 } as const

export interface Lane {
  readonly figure: SeasonFigure
  readonly points: readonly (BookFigure | null)[]
  readonly from: number
  readonly to: number
}

/** null if no session has the figure. */
export function laneOf(figure: SeasonFigure, sessions: readonly BookSession[]): Lane | null {
  const points = sessions.map(({ figures }) => figures[figure] ?? null)
  const ends = points.flatMap((point) =>
    point === null
      ? []
      : [
          point.value,
          ...(point.usual === null
            ? []
            : [point.usual.median - point.usual.spread, point.usual.median + point.usual.spread]),
        ],
  )
  if (ends.length === 0) return null
  const low = Math.min(...ends)
  const high = Math.max(...ends)
  const more = Math.max(0, (isPitch(figure) ? LEAST_RANGE.pitch : LEAST_RANGE.balance) - (high - low)) / 2
  const margin = (high - low + 2 * more) * 0.08
  return { figure, points, from: low - more - margin, to: high + more + margin }
}

/** Whether the line of a figure goes on from one session to the next: both can be compared. */
export const isJoined = (figure: SeasonFigure, a: BookSession, b: BookSession): boolean =>
  isPitch(figure) || (a.isMicTakenOut === b.isMicTakenOut && (a.isMicTakenOut || a.mic?.id === b.mic?.id))
