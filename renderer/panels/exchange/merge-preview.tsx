// What taking in a history will do: questions first, then what differs with both sides, then what is new.

import type { HistoryAnswers, HistoryMerge } from '../../../app/contract/exchange/merge.ts'
import { countOf } from '../../../app/words/numbers.ts'
import {
  type Difference,
  differenceOf,
  groupItems,
  type ItemGroup,
} from '../../formats/book/exchange-words.ts'
import { Select } from '../../parts/fields/select.tsx'
import './exchange.css'

/** Names of one kind beyond these are counted. */
const MOST_NAMES = 12

export interface MergePreviewProps {
  readonly merge: HistoryMerge
  readonly answers: HistoryAnswers
  /** Questions that were open when the file was first looked at; an answered one can be answered again. */
  readonly questions: HistoryMerge['questions']
  readonly onAnswer: (answers: HistoryAnswers) => void
}

export function MergePreview({ merge, answers, questions, onAnswer }: MergePreviewProps) {
  const { added, changed, conflicts } = merge
  const takes = added.filter(({ kind }) => kind === 'take').length
  return (
    <>
      {questions.map(({ artist, name, here }) => {
        const answer = answers.find((one) => one.artist === artist)
        return (
          <section key={artist} className="exchange-question" aria-label={`Who is ${name}?`}>
            <p>
              There is an artist {name} here, and it is not known whether it is the same person. Nothing is
              taken in before this is answered.
            </p>
            <Select
              label={`${name} of the file is`}
              placeholder="Choose"
              items={[
                ...here.map((one) => ({ key: one.id, name: `${one.name}, who is here` })),
                { key: 0, name: `Another person called ${name}` },
              ]}
              value={answer === undefined ? null : (answer.same ?? 0)}
              onChange={(key) =>
                onAnswer([
                  ...answers.filter((one) => one.artist !== artist),
                  { artist, same: key === null || key === 0 ? null : key },
                ])
              }
            />
          </section>
        )
      })}
      {conflicts.length === 0 ? null : (
        <section aria-label="What differs">
          <h3>{countOf(conflicts.length, 'difference')}, both sides are kept</h3>
          <ul className="dialog-list exchange-list">
            {conflicts.map(differenceOf).map((difference, i) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: differences have no identity and do not move
              <DifferenceLine key={i} difference={difference} />
            ))}
          </ul>
        </section>
      )}
      <Items title="New here" none="Nothing: all of it is here already." groups={groupItems(added)} />
      {changed.length === 0 ? null : (
        <Items title="Changed to the newer name or note" none="" groups={groupItems(changed)} />
      )}
      {takes === 0 ? null : (
        <p className="soft">
          The file has no sound: {countOf(takes, 'take')} will be missing until{' '}
          {takes === 1 ? 'its' : 'their'} files are found.
        </p>
      )}
    </>
  )
}

const DifferenceLine = ({ difference: { title, sides } }: { difference: Difference }) => (
  <li>
    <p>{title}</p>
    {sides.length === 0 ? null : (
      <dl className="exchange-sides">
        {sides.map(({ label, text }) => (
          <div key={`${label} ${text}`}>
            <dt>{label}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
    )}
  </li>
)

const Items = ({ title, none, groups }: { title: string; none: string; groups: readonly ItemGroup[] }) => (
  <section aria-label={title}>
    <h3>{title}</h3>
    {groups.length === 0 ? (
      <p>{none}</p>
    ) : (
      <dl className="exchange-items">
        {groups.map(({ title: count, names }) => (
          <div key={count}>
            <dt>{count}</dt>
            <dd>
              {names.slice(0, MOST_NAMES).join('; ')}
              {names.length > MOST_NAMES ? `; and ${names.length - MOST_NAMES} more` : ''}
            </dd>
          </div>
        ))}
      </dl>
    )}
  </section>
)
