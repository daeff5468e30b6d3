// Search in the takes of all sessions: play them and add them to this session.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useDeferredValue, useRef, useState } from 'react'
import { GridList, GridListItem, ListLayout, Virtualizer } from 'react-aria-components'
import type { FoundTake, SessionContents } from '../../../app/contract/entities.ts'
import { MAX_FOUND_TAKES } from '../../../app/contract/text/limits.ts'
import { addEarlierTake } from '../../acts/take-acts.ts'
import { formatDate, formatDuration, formatLevel, formatRate, isoDateOf } from '../../formats/format.ts'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { SearchField } from '../../parts/fields/search-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { PlaySign, StopSign } from '../../parts/signs.tsx'
import { player, usePlayer } from '../../playback/player.ts'
import { artistsQuery, foundTakesQuery } from '../../state/queries.ts'
import './earlier-takes.css'

const PAGE = 100
const ROW_PX = 58

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
  const { source, status } = usePlayer()
  const heardId = status !== 'stopped' && source?.target.kind === 'take' ? source.target.takeId : null
  const add = (take: FoundTake): void => {
    if (!here.has(take.id)) void addEarlierTake(session.id, take)
  }
  const close = (): void => {
    if (heardId !== null) void player.stop()
    onClose()
  }

  return (
    <Dialog title="Earlier takes" isOpen onClose={close} width="wide">
      <div className="earlier-search">
        <SearchField
          label="Name or folder"
          placeholder="First letters of any words"
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
      <Virtualizer layout={ListLayout} layoutOptions={{ rowHeight: ROW_PX }}>
        <GridList
          ref={list}
          aria-label="Takes found"
          className="earlier-list"
          items={lines}
          dependencies={[takes, heardId, session]}
          onAction={(key) => {
            const take = lines.find((one) => one.id === Number(key))
            if (take !== undefined) add(take)
          }}
          renderEmptyState={() => (
            <p className="earlier-none soft">
              {found.isPending ? 'Searching…' : 'No matches. Try fewer letters.'}
            </p>
          )}
        >
          {(take) => (
            <GridListItem id={take.id} textValue={take.name} className="earlier-line">
              <EarlierTakeLine
                take={take}
                isHere={here.has(take.id)}
                isHeard={take.id === heardId}
                onHear={() => hear(take, session.sampleRateHz)}
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

const hear = (take: FoundTake, sampleRateHz: number): void =>
  void player.play({ target: { kind: 'take', takeId: take.id, sampleRateHz }, draft: null })

interface EarlierTakeLineProps {
  readonly take: FoundTake
  readonly isHere: boolean
  readonly isHeard: boolean
  readonly onHear: () => void
  readonly onAdd: () => void
}

function EarlierTakeLine({ take, isHere, isHeard, onHear, onAdd }: EarlierTakeLineProps) {
  const song = take.songTitle === null ? 'no session' : take.songTitle
  const who = [take.artistName, take.voiceName].filter((word) => word !== null && word !== '').join(', ')
  return (
    <>
      <Button
        look="sign"
        aria-label={`${isHeard ? 'Stop' : 'Play'} ${take.name}`}
        onPress={() => (isHeard ? void player.stop() : onHear())}
      >
        {isHeard ? <StopSign /> : <PlaySign />}
      </Button>
      <span className="earlier-words">
        <span className="earlier-name" title={take.name}>
          {take.name}
        </span>
        <span className="soft">
          {song} · {formatDate(take.sessionDate ?? isoDateOf(take.importedAt))}
        </span>
      </span>
      <span className="earlier-words">
        <span>{who === '' ? 'no artist' : who}</span>
        <span className="soft">{take.micName ?? 'no mic'}</span>
      </span>
      <span className="earlier-words earlier-numbers number">
        <span>
          {formatDuration(take.frames / take.sampleRateHz)}, {formatRate(take.sampleRateHz)}
        </span>
        <span className="soft">{formatLevel(take.integratedLufs, 'LUFS')}</span>
      </span>
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
