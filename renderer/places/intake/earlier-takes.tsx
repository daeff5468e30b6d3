// Search in the takes of all sessions: play them and add them to this session.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useDeferredValue, useRef, useState } from 'react'
import { GridList, GridListItem, ListLayout, Virtualizer } from 'react-aria-components'
import type { FoundTake, SessionContents } from '../../../app/contract/entities.ts'
import type { Finding } from '../../../app/contract/finding.ts'
import { MAX_FOUND_TAKES } from '../../../app/contract/text/limits.ts'
import { searchWordsOf } from '../../../app/contract/text/search-words.ts'
import { findingName } from '../../../app/words/findings.ts'
import { formatDate, formatDuration, formatLevel, formatRate, isoDateOf } from '../../../app/words/format.ts'
import { addEarlierTake } from '../../acts/take-acts.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { SearchField } from '../../parts/fields/search-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { PlaySign, StopSign } from '../../parts/signs.tsx'
import { player } from '../../playback/player.ts'
import { artistsQuery, foundTakesQuery } from '../../state/queries.ts'
import { hearTake, useHeardTake } from './hear-take.ts'
import { Marked } from './marked.tsx'
import './earlier-takes.css'

const PAGE = 100
const ROW_PX = 58
/** With a line that says where else the words were found. */
const MATCHED_ROW_PX = 80

export function EarlierTakes({ contents, onClose }: { contents: SessionContents; onClose: () => void }) {
  const { session, takes } = contents
  const artists = useQuery(artistsQuery).data ?? []
  const [search, setSearch] = useState('')
  const [artistId, setArtistId] = useState<number | null>(session.artistId)
  const [limit, setLimit] = useState(PAGE)
  const list = useRef<HTMLDivElement>(null)
  const asked = useDeferredValue(search)
  const found = useQuery({
    ...foundTakesQuery({ search: asked, limit, ...(artistId === null ? {} : { artistId }) }),
    placeholderData: keepPreviousData,
  })
  const lines = found.data ?? []
  const here = new Set(takes.map((take) => take.id))
  const heardId = useHeardTake()
  const words = searchWordsOf(asked)
  const rowHeight = lines.some(({ matched }) => matched.length > 0) ? MATCHED_ROW_PX : ROW_PX
  const add = (take: FoundTake): void => {
    if (here.has(take.id)) return
    // The button that was pressed goes.
    list.current?.focus()
    void addEarlierTake(session.id, take)
  }
  const close = (): void => {
    if (heardId !== null) void player.stop()
    onClose()
  }

  return (
    <Dialog title="Earlier takes" isOpen onClose={close} width="wide">
      <div className="earlier-search">
        <SearchField
          label="Name, artist, voice, mic, song, note, finding or folder"
          placeholder="First letters of several words"
          typed={{
            text: search,
            onChange: (text) => {
              setSearch(text)
              setLimit(PAGE)
            },
            onDown: () => list.current?.focus(),
          }}
        />
        <Select
          label="Artist"
          items={artists.map(({ id, name }) => ({ key: id, name }))}
          none="All artists"
          value={artistId}
          onChange={(key) => {
            setArtistId(key)
            setLimit(PAGE)
          }}
        />
      </div>
      <DialogFailure message={found.error?.message ?? null} />
      <Virtualizer layout={ListLayout} layoutOptions={{ rowHeight }}>
        <GridList
          ref={list}
          aria-label="Takes found"
          className="earlier-list"
          items={lines}
          dependencies={[takes, heardId, session, asked]}
          onAction={(key) => {
            const take = lines.find((one) => one.id === Number(key))
            if (take !== undefined) add(take)
          }}
          renderEmptyState={() => (
            <p className="earlier-none soft">
              {found.isPending ? 'Searching…' : 'No matches. Try fewer letters, or all artists.'}
            </p>
          )}
        >
          {(take) => (
            <GridListItem id={take.id} textValue={take.name} className="earlier-line">
              <EarlierTakeLine
                take={take}
                isHere={here.has(take.id)}
                isHeard={take.id === heardId}
                words={words}
                onHear={() => hearTake(take, session)}
                onAdd={() => add(take)}
              />
            </GridListItem>
          )}
        </GridList>
      </Virtualizer>
      <DialogButtons>
        {lines.length === limit && limit < MAX_FOUND_TAKES ? (
          <Button onPress={() => setLimit(Math.min(MAX_FOUND_TAKES, limit + 3 * PAGE))}>Show more</Button>
        ) : null}
        <Button onPress={close}>Close</Button>
      </DialogButtons>
    </Dialog>
  )
}

/** Names of the fields that are not columns of the list. */
const FIELD_NAMES: Readonly<Record<FoundTake['matched'][number]['field'], string>> = {
  song: 'Songs',
  note: 'Note',
  finding: 'Finding',
  folder: 'File',
}

interface EarlierTakeLineProps {
  readonly take: FoundTake
  readonly isHere: boolean
  readonly isHeard: boolean
  /** What is searched for, marked in the line. */
  readonly words: readonly string[]
  readonly onHear: () => void
  readonly onAdd: () => void
}

function EarlierTakeLine({ take, isHere, isHeard, words, onHear, onAdd }: EarlierTakeLineProps) {
  const song = take.songTitle === null ? 'no session' : take.songTitle
  const who = [take.artistName, take.voiceName].filter((word) => word !== null && word !== '').join(', ')
  return (
    <>
      <Button look="sign" aria-label={`${isHeard ? 'Stop' : 'Play'} ${take.name}`} onPress={onHear}>
        {isHeard ? <StopSign /> : <PlaySign />}
      </Button>
      <span className="earlier-words">
        <span className="earlier-name" title={take.name}>
          <Marked {...{ words }} text={take.name} />
        </span>
        <span className="soft">
          <Marked {...{ words }} text={song} /> · {formatDate(take.sessionDate ?? isoDateOf(take.importedAt))}
        </span>
      </span>
      <span className="earlier-words">
        <span title={who}>{who === '' ? 'no artist' : <Marked {...{ words }} text={who} />}</span>
        <span className="soft" title={take.micName ?? ''}>
          {take.micName === null ? 'no mic' : <Marked {...{ words }} text={take.micName} />}
        </span>
      </span>
      <span className="earlier-words earlier-numbers number">
        <span>
          {formatDuration(take.frames / take.sampleRateHz)}, {formatRate(take.sampleRateHz)}
        </span>
        <span className="soft">{formatLevel(take.integratedLufs, 'LUFS')}</span>
      </span>
      {take.matched.length === 0 ? null : (
        <span className="earlier-matched">
          {take.matched.map(({ field, text }) => (
            <span key={`${field} ${text}`}>
              <span className="soft">{FIELD_NAMES[field]}:</span>{' '}
              <Marked
                {...{ words }}
                text={field === 'finding' ? findingName(text as Finding['kind']) : text}
              />
            </span>
          ))}
        </span>
      )}
      {isHere ? (
        <span className="earlier-here soft">in this session</span>
      ) : (
        <Button aria-label={`Add ${take.name}`} onPress={onAdd}>
          Add
        </Button>
      )}
    </>
  )
}
