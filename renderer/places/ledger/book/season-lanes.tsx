// The line through time: a lane for each figure, a column for each session. The columns are a list, so that arrows
// go from session to session.

import { ListBox, ListBoxItem } from 'react-aria-components'
import { type BookSession, SEASON_FIGURES } from '../../../../app/contract/book/voice-book.ts'
import { formatDate } from '../../../../app/words/format.ts'
import { FIGURE_WORDS, formatFigure, isPitch, unusualSentences } from '../../../formats/book/figure-words.ts'
import { columnsOf, isJoined, type Lane, laneOf } from '../../../formats/book/lane-scale.ts'
import { useSize } from '../../../parts/use-size.ts'

const LANE_PX = 46
const FOOT_PX = 74
/** Room that a date and a version need. */
const DATE_PX = 92
const VERSION_PX = 34

export interface SeasonLanesProps {
  /** Oldest first. */
  readonly sessions: readonly BookSession[]
  readonly shownId: number
  readonly onShow: (sessionId: number) => void
}

export function SeasonLanes({ sessions, shownId, onShow }: SeasonLanesProps) {
  const [frame, { width }] = useSize<HTMLDivElement>()
  const lanes = SEASON_FIGURES.flatMap((figure) => laneOf(figure, sessions) ?? [])
  const height = lanes.length * LANE_PX + FOOT_PX
  return (
    <div className="season-lanes">
      <div className="season-names">
        {lanes.map((lane) => (
          <div key={lane.figure} className="season-name" title={FIGURE_WORDS[lane.figure].what}>
            <span>{FIGURE_WORDS[lane.figure].name}</span>
            <span className="soft number">{rangeWords(lane)}</span>
          </div>
        ))}
        <div className="season-foot-name soft">Mic</div>
        <div className="season-foot-name soft">Chain version</div>
      </div>
      <div className="season-field" ref={frame} style={{ height }}>
        <ListBox
          className="season-columns"
          aria-label="Sessions, oldest first"
          orientation="horizontal"
          layout="grid"
          selectionMode="single"
          selectionBehavior="replace"
          disallowEmptySelection
          selectedKeys={[shownId]}
          onSelectionChange={(keys) => {
            const [id] = keys === 'all' ? [] : keys
            if (typeof id === 'number') onShow(id)
          }}
        >
          {sessions.map((session, i) => (
            <ListBoxItem
              key={session.sessionId}
              id={session.sessionId}
              className="season-column"
              textValue={columnWords(session, sessions[i - 1])}
              aria-label={columnWords(session, sessions[i - 1])}
            />
          ))}
        </ListBox>
        {width === 0 ? null : (
          <svg width={width} height={height} aria-hidden="true">
            <Lanes sessions={sessions} lanes={lanes} width={width} />
          </svg>
        )}
      </div>
    </div>
  )
}

/** What a screen reader says of a session. */
const columnWords = (session: BookSession, before: BookSession | undefined): string =>
  [
    `${formatDate(session.date)}, ${session.songTitle}`,
    session.mic?.name ?? 'mic not known',
    ...unusualSentences(session, before),
  ].join(', ')

const rangeWords = ({ figure, points }: Lane): string => {
  const values = points.flatMap((point) => (point === null ? [] : point.value))
  const low = formatFigure(figure, Math.min(...values))
  const high = formatFigure(figure, Math.max(...values))
  return low === high ? low : `${low.split('\u202f')[0]} to ${high}`
}

interface LanesProps {
  readonly sessions: readonly BookSession[]
  readonly lanes: readonly Lane[]
  readonly width: number
}

function Lanes({ sessions, lanes, width }: LanesProps) {
  const xs = columnsOf(sessions.length, width)
  const column = width / sessions.length
  const bottom = lanes.length * LANE_PX
  const micChanges = sessions.flatMap((session, i) =>
    i === 0 || session.mic?.id !== sessions[i - 1].mic?.id ? i : [],
  )
  return (
    <>
      {lanes.map((lane, i) => (
        <g key={lane.figure} transform={`translate(0 ${i * LANE_PX})`}>
          <LaneDrawing lane={lane} sessions={sessions} xs={xs} column={column} />
          <line className="season-rule" x1={0} x2={width} y1={LANE_PX - 0.5} y2={LANE_PX - 0.5} />
        </g>
      ))}
      {micChanges.map((at, i) => {
        const left = at * column
        const next = (micChanges[i + 1] ?? sessions.length) * column
        return (
          <g key={at}>
            {at === 0 ? null : (
              <line className="season-mic-change" x1={left} x2={left} y1={0} y2={bottom + 24} />
            )}
            <line className="season-mic" x1={left + 3} x2={next - 3} y1={bottom + 6} y2={bottom + 6} />
            <text className="season-text" x={left + 3} y={bottom + 21}>
              {fitting(sessions[at].mic?.name ?? 'not known', next - left - 6)}
            </text>
          </g>
        )
      })}
      {versionMarks(sessions, xs).map(({ x, words }) => (
        <text key={x} className="season-text" x={x} y={bottom + 44} textAnchor="middle">
          {words}
        </text>
      ))}
      {dateMarks(sessions, xs).map(({ x, words, anchor }) => (
        <text key={x} className="season-text season-date" x={x} y={bottom + 67} textAnchor={anchor}>
          {words}
        </text>
      ))}
    </>
  )
}

/** The text, shortened to about the width. */
function fitting(text: string, width: number): string {
  const letters = Math.floor(width / 7)
  if (text.length <= letters) return text
  return letters < 3 ? '' : `${text.slice(0, letters - 1)}…`
}

interface TextMark {
  readonly x: number
  readonly words: string
  readonly anchor: 'start' | 'middle' | 'end'
}

/** Versions where they differ from those of the session before; a dot where there is no room. */
function versionMarks(sessions: readonly BookSession[], xs: readonly number[]): TextMark[] {
  let lastX = -VERSION_PX
  let last = ''
  return sessions.flatMap(({ chains }, i) => {
    const words = [...new Set(chains.map(({ number }) => `v${number}`))].join(' ')
    if (words === last || words === '') return []
    last = words
    const isRoom = xs[i] - lastX >= VERSION_PX
    if (isRoom) lastX = xs[i]
    return { x: xs[i], words: isRoom ? words : '·', anchor: 'middle' as const }
  })
}

/** As many dates as there is room for, the first and the last among them. */
function dateMarks(sessions: readonly BookSession[], xs: readonly number[]): TextMark[] {
  const count = sessions.length
  const width = xs.length === 0 ? 0 : xs[0] + xs[count - 1]
  // The first and the last text begin and end at the edges, half a text further inwards than those between.
  const step = Math.ceil((1.5 * count * DATE_PX) / Math.max(width, 1))
  return sessions.flatMap(({ date }, i) => {
    const isLast = i === count - 1
    if (!isLast && (i % step !== 0 || count - 1 - i < step)) return []
    const x = Math.min(Math.max(xs[i], 0), width)
    const anchor = x < DATE_PX / 2 ? 'start' : x > width - DATE_PX / 2 ? 'end' : 'middle'
    return { x: anchor === 'start' ? 2 : anchor === 'end' ? width - 2 : x, words: formatDate(date), anchor }
  })
}

interface LaneDrawingProps {
  readonly lane: Lane
  readonly sessions: readonly BookSession[]
  readonly xs: readonly number[]
  readonly column: number
}

/** The usual spread as steps behind, the range of the takes as thin uprights, the medians as a line with points. */
function LaneDrawing({ lane, sessions, xs, column }: LaneDrawingProps) {
  const { figure, points, from, to } = lane
  const y = (value: number): number => LANE_PX - 3 - ((value - from) / (to - from)) * (LANE_PX - 6)
  const inside = (value: number): number => y(Math.min(to, Math.max(from, value)))
  const path = points
    .map((point, i) => {
      if (point === null) return ''
      const before = points[i - 1] ?? null
      const goesOn = i > 0 && before !== null && isJoined(figure, sessions[i - 1], sessions[i])
      return `${goesOn ? 'L' : 'M'}${xs[i].toFixed(1)} ${y(point.value).toFixed(1)}`
    })
    .join('')
  return (
    <g data-pitch={isPitch(figure) || undefined}>
      {points.map((point, i) =>
        point?.usual == null ? null : (
          <g key={sessions[i].sessionId}>
            <rect
              className="season-usual"
              x={xs[i] - column / 2}
              width={column}
              y={inside(point.usual.median + point.usual.spread)}
              height={Math.max(
                1,
                inside(point.usual.median - point.usual.spread) -
                  inside(point.usual.median + point.usual.spread),
              )}
            />
            <line
              className="season-median"
              x1={xs[i] - column / 2}
              x2={xs[i] + column / 2}
              y1={y(point.usual.median)}
              y2={y(point.usual.median)}
            />
          </g>
        ),
      )}
      {points.map((point, i) =>
        point === null ? null : (
          <line
            key={sessions[i].sessionId}
            className="season-takes"
            x1={xs[i]}
            x2={xs[i]}
            y1={inside(point.lowest)}
            y2={inside(point.highest)}
          />
        ),
      )}
      <path className="season-line" d={path} />
      {points.map((point, i) =>
        point === null ? null : (
          <g key={sessions[i].sessionId}>
            {point.isUnusual ? (
              <circle className="season-unusual" cx={xs[i]} cy={y(point.value)} r={7} />
            ) : null}
            <circle className="season-point" cx={xs[i]} cy={y(point.value)} r={Math.min(3.5, column / 4)} />
          </g>
        ),
      )}
    </g>
  )
}
