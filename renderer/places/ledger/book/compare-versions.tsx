// Any two versions of a voice's chains beside each other: what was changed, in sentences; what that does to the tone,
// as one curve; and both on a take at equal loudness.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { BookSession, BookVersion, VoiceBook } from '../../../../app/contract/book/voice-book.ts'
import type { ChainStages } from '../../../../app/contract/chain-document.ts'
import { formatDate } from '../../../../app/words/format.ts'
import { joinVersions } from '../../../acts/exchange/join-versions.ts'
import { newestEnds } from '../../../formats/book/version-tree.ts'
import { describeChanges } from '../../../formats/chain/describe-changes.ts'
import { versionNumber } from '../../../formats/chain/version-words.ts'
import { Button } from '../../../parts/button.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { chainVersionsQuery } from '../../../state/queries.ts'
import { HearVersions } from './hear-versions.tsx'
import { ToneDifference } from './tone-difference.tsx'

export function CompareVersions({ book }: { book: VoiceBook }) {
  const versions = book.chains.flatMap(({ name, versions: own }) =>
    own.map((version) => ({ ...version, chainName: name })),
  )
  const newest = versions.toSorted((a, b) => b.id - a.id)
  const [fromId, setFromId] = useState<number | null>(null)
  const [toId, setToId] = useState<number | null>(null)
  const [takeId, setTakeId] = useState<number | null>(null)
  const from = versions.find(({ id }) => id === fromId) ?? newest[1] ?? newest[0]
  const to = versions.find(({ id }) => id === toId) ?? newest[0]
  const takes = book.sessions.toReversed().flatMap(takesIn)
  const take = takes.find(({ key }) => key === takeId) ?? takes[0]
  const fromStages = useStages(from.chainId, from.id)
  const toStages = useStages(to.chainId, to.id)
  if (versions.length < 2) {
    return (
      <section className="book-compare" aria-label="Compare versions">
        <h3>Compare</h3>
        <p className="soft">With a second version, what differs is shown and heard here.</p>
      </section>
    )
  }
  const items = newest.map((version) => ({
    key: version.id,
    name: `Version ${versionNumber(version)}, ${version.chainName}`,
    ...(version.note === '' ? {} : { detail: version.note }),
  }))
  return (
    <section className="book-compare" aria-label="Compare versions">
      <h3>Compare</h3>
      <div className="book-compare-fields">
        <Select label="From" items={items} value={from.id} onChange={setFromId} />
        <Select label="To" items={items} value={to.id} onChange={setToId} />
        {take === undefined ? null : (
          <Select label="On the take" items={takes} value={take.key} onChange={setTakeId} />
        )}
      </div>
      {fromStages === undefined || toStages === undefined ? null : (
        <>
          <Sentences from={fromStages} to={toStages} />
          {areBothEnds(book, from, to) ? (
            <div className="book-join">
              <Button onPress={() => void joinVersions(book.voice.id, from, to, toStages)}>
                Join both, with the settings of {nameOf(to)}
              </Button>
            </div>
          ) : null}
          <ToneDifference takeId={take?.key ?? null} from={fromStages} to={toStages} />
          {from.id === to.id ? (
            <p className="soft">Choose two versions to hear them.</p>
          ) : take === undefined ? (
            <p className="soft">To hear them, the voice needs a take.</p>
          ) : (
            <HearVersions
              key={`${take.key} ${from.id} ${to.id}`}
              sessionId={take.sessionId}
              takeId={take.key}
              names={[nameOf(from), nameOf(to)]}
              versions={[fromStages, toStages]}
            />
          )}
        </>
      )}
    </section>
  )
}

/** Whether they are two newest versions of one chain, as after an edit on two computers. */
function areBothEnds({ chains }: VoiceBook, from: BookVersion, to: BookVersion): boolean {
  const ends = newestEnds(chains.find(({ id }) => id === to.chainId)?.versions ?? []).map(({ id }) => id)
  return from.id !== to.id && ends.includes(from.id) && ends.includes(to.id)
}

const nameOf = (version: BookVersion & { readonly chainName: string }): string =>
  `${version.chainName} ${versionNumber(version)}`

const takesIn = ({ sessionId, date, songTitle, takes }: BookSession) =>
  takes.map(({ id, name }) => ({ key: id, name, detail: `${songTitle}, ${formatDate(date)}`, sessionId }))

/** undefined until it has been read. */
const useStages = (chainId: number, versionId: number): ChainStages | undefined =>
  useQuery(chainVersionsQuery(chainId)).data?.find(({ id }) => id === versionId)?.stages

function Sentences({ from, to }: { from: ChainStages; to: ChainStages }) {
  const changes = describeChanges(from, to)
  if (changes.length === 0) return <p>No differences.</p>
  return (
    <ul className="chain-changes">
      {changes.map((change) => (
        <li key={change}>{change}</li>
      ))}
    </ul>
  )
}
