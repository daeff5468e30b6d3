// The figures of all sessions of a voice as a table.

import { type BookSession, SEASON_FIGURES } from '../../../../app/contract/book/voice-book.ts'
import { formatDate } from '../../../../app/words/format.ts'
import { FIGURE_WORDS, formatFigure } from '../../../formats/book/figure-words.ts'
import { Button } from '../../../parts/button.tsx'

interface SeasonTableProps {
  readonly sessions: readonly BookSession[]
  readonly onShow: (sessionId: number) => void
}

export const SeasonTable = ({ sessions, onShow }: SeasonTableProps) => (
  // A table that is wider than the window is scrolled by keyboard as well.
  // biome-ignore lint/a11y/noNoninteractiveTabindex: see above
  <section className="season-table" aria-label="Figures of all sessions" tabIndex={0}>
    <table>
      <thead>
        <tr>
          <th scope="col">Session</th>
          <th scope="col">Mic</th>
          {SEASON_FIGURES.map((figure) => (
            <th key={figure} scope="col" title={FIGURE_WORDS[figure].what}>
              {FIGURE_WORDS[figure].name}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {sessions.map(({ sessionId, date, songTitle, mic, figures }) => (
          <tr key={sessionId}>
            <th scope="row">
              <Button
                look="plain"
                aria-label={`Show ${formatDate(date)}, ${songTitle}`}
                onPress={() => onShow(sessionId)}
              >
                {formatDate(date)}, {songTitle}
              </Button>
            </th>
            <td>{mic?.name ?? 'not known'}</td>
            {SEASON_FIGURES.map((figure) => {
              const point = figures[figure]
              return (
                <td key={figure} data-unusual={point?.isUnusual || undefined}>
                  {point === undefined ? '—' : formatFigure(figure, point.value)}
                  {point?.isUnusual ? ' (unusual)' : ''}
                </td>
              )
            })}
          </tr>
        ))}
      </tbody>
    </table>
  </section>
)
