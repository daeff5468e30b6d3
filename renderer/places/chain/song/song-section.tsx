// Along the song: which range the figures above are of, the lanes, and where stages do more than usual.

import { type KeyboardEvent, useMemo, useState } from 'react'
import type { Section } from '../../../../app/contract/sections/section.ts'
import { lanesOf, placesOf } from '../../../formats/song/lanes.ts'
import { rowsOfSeconds } from '../../../formats/song/range-figures.ts'
import {
  frameOfMeasured,
  measuredSeconds,
  rangeBeside,
  sectionsOfTake,
  sessionSeconds,
  spanWords,
  type TakePlace,
  type TakeRange,
} from '../../../formats/song/song-ranges.ts'
import { ariaKeysOf, keyActOf } from '../../../keys/key-table.ts'
import { isTakenElsewhere } from '../../../keys/key-target.ts'
import { useKeyDown } from '../../../keys/use-key-down.ts'
import { Button } from '../../../parts/button.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { player, playheadFrame, readPlayer } from '../../../playback/player.ts'
import { windowKeyActOf } from '../../../state/single-keys.ts'
import type { MeasuredChain } from '../river/match-measurement.ts'
import type { SongOfStages } from '../river/use-song.ts'
import { PlacesList, type ShownPlace } from './places-list.tsx'
import { RangeComparison } from './range-comparison.tsx'
import { chooseRange, keepRange, useSongDesk } from './song-desk.ts'
import { SongTable } from './song-table.tsx'
import { SongView } from './song-view.tsx'
import './song.css'

/** Heard around a place, so that it is not a fragment. */
const AROUND_PLACE_S = 0.3
const NUDGE_S = 0.1
/** Shorter ranges cannot be told from a click in any lane. */
const LEAST_RANGE_S = 0.01
const ZOOM = 2
const LEAST_SIGHT_S = 0.5

export interface SongSectionProps {
  readonly song: SongOfStages
  readonly chain: MeasuredChain
  readonly rowKeys: readonly number[]
  /** What is measured, as measuredKey has it. */
  readonly of: string
  /** As in 'Whole take'. */
  readonly wholeName: string
  readonly phrases: readonly TakeRange[]
  readonly place: TakePlace
  readonly sections: readonly Section[]
  readonly leftPx: number
  readonly rightPx: number
}

type Open = 'places' | 'table' | null

export function SongSection(props: SongSectionProps) {
  const { song, chain, rowKeys, of, wholeName, phrases, place, sections, leftPx, rightPx } = props
  const { range, kept } = useSongDesk(of)
  const [open, setOpen] = useState<Open>(null)
  const takeSeconds = song.layout.frames / song.layout.sampleRateHz
  const [sight, setSight] = useState<{ from: number; to: number } | null>(null)
  const inSight = {
    fromSeconds: Math.min(sight?.from ?? 0, takeSeconds),
    toSeconds: Math.min(sight?.to ?? takeSeconds, takeSeconds),
  }
  const parts = useMemo(() => sectionsOfTake(sections, place, takeSeconds), [sections, place, takeSeconds])
  const places = useMemo(
    () =>
      lanesOf(song, song.stages)
        .flatMap((lane) => placesOf(lane, song))
        .map(
          (one): ShownPlace => ({
            ...one,
            seconds: (one.mostRow * song.layout.rowFrames) / song.layout.sampleRateHz,
          }),
        )
        .sort((a, b) => a.seconds - b.seconds),
    [song],
  )
  const [walked, setWalked] = useState(-1)
  const isOutside = range !== null && rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds) === null

  const choose = (next: TakeRange | null): void => chooseRange(of, place, next)
  const isTakePlayed = (): boolean => readPlayer().source?.target.kind === 'take'
  /** Seconds of what is measured that are heard. */
  const heard = (): number => measuredSeconds(place, playheadFrame(), isTakePlayed())
  const seek = (seconds: number): void => player.seek(frameOfMeasured(place, seconds, isTakePlayed()))
  const bounded = (fromSeconds: number, toSeconds: number, name = 'Range'): void => {
    const from = Math.max(0, Math.min(fromSeconds, toSeconds))
    const to = Math.min(takeSeconds, Math.max(fromSeconds, toSeconds, from + LEAST_RANGE_S))
    if (to > from) choose({ name, fromSeconds: from, toSeconds: to })
  }
  const showPlace = (index: number): void => {
    const one = places[index]
    if (one === undefined) return
    setWalked(index)
    const perRow = song.layout.rowFrames / song.layout.sampleRateHz
    bounded(one.fromRow * perRow - AROUND_PLACE_S, one.toRow * perRow + AROUND_PLACE_S, `Place ${index + 1}`)
  }
  const walk = (step: 1 | -1): void => {
    if (places.length === 0) return
    const at = range?.name === `Place ${walked + 1}` ? walked : step === 1 ? -1 : places.length
    showPlace(Math.min(places.length - 1, Math.max(0, at + step)))
  }
  const zoom = (factor: number): void => {
    const width = Math.max(LEAST_SIGHT_S, (inSight.toSeconds - inSight.fromSeconds) * factor)
    if (width >= takeSeconds) {
      setSight(null)
      return
    }
    const middle = range === null ? heard() : (range.fromSeconds + range.toSeconds) / 2
    const from = Math.max(0, Math.min(takeSeconds - width, middle - width / 2))
    setSight({ from, to: from + width })
  }

  useKeyDown((event) => {
    if (isTakenElsewhere(event.target)) return
    const act = windowKeyActOf(event, 'chain')
    if (act !== 'placeBefore' && act !== 'placeAfter') return
    walk(act === 'placeAfter' ? 1 : -1)
    event.preventDefault()
    event.stopPropagation()
  })
  const onKey = (event: KeyboardEvent): void => {
    const { fromSeconds, toSeconds } = range ?? { fromSeconds: 0, toSeconds: takeSeconds }
    const act = keyActOf(event, 'along')
    switch (act) {
      case 'phraseBefore':
      case 'phraseAfter': {
        const step = act === 'phraseAfter' ? 1 : -1
        const beside = rangeBeside(phrases, range === null ? -1 : fromSeconds, step)
        if (beside !== null) choose(beside)
        break
      }
      case 'rangeShorter':
        bounded(fromSeconds, Math.max(fromSeconds + LEAST_RANGE_S, toSeconds - NUDGE_S))
        break
      case 'rangeLonger':
        bounded(fromSeconds, toSeconds + NUDGE_S)
        break
      case 'rangeStart':
        bounded(heard(), toSeconds)
        break
      case 'rangeEnd':
        bounded(fromSeconds, heard())
        break
      case 'keepRange':
        if (range !== null) keepRange(range)
        break
      case 'songCloser':
        zoom(1 / ZOOM)
        break
      case 'songFarther':
        zoom(ZOOM)
        break
      case 'wholeTake':
        choose(null)
        break
      default:
        return
    }
    event.preventDefault()
    event.stopPropagation()
  }

  const named = [...parts, ...phrases]
  const chosen = range === null ? -1 : named.findIndex((one) => isSameRange(one, range))
  const toggle = (what: Open): void => setOpen(open === what ? null : what)
  return (
    <section className="song-section" aria-label="Along the song">
      <div className="song-bar">
        <Select
          className="song-choice"
          label="Range of the figures"
          isLabelHidden
          items={named.map((one, key) => ({ key, name: one.name, detail: spanWords(place, one) }))}
          value={chosen === -1 ? null : chosen}
          none={wholeName}
          isMixed={range !== null && chosen === -1}
          placeholder={range?.name ?? wholeName}
          onChange={(key) => choose(key === null ? null : named[key])}
        />
        <span className="song-span number" role="status">
          {range === null
            ? ''
            : isOutside
              ? `${spanWords(place, range)}: nothing is measured there, so the figures are of the whole`
              : spanWords(place, range)}
        </span>
        {range === null ? null : (
          <>
            <Button look="plain" onPress={() => choose(null)}>
              {wholeName}
            </Button>
            <Button look="plain" onPress={() => keepRange(range)}>
              Keep to compare
            </Button>
          </>
        )}
        <span className="song-bar-space" />
        <Button
          look="plain"
          onPress={() => {
            if (sight !== null) setSight(null)
            else if (range !== null) {
              const around = Math.max(LEAST_SIGHT_S, range.toSeconds - range.fromSeconds) * 0.2
              setSight({
                from: Math.max(0, range.fromSeconds - around),
                to: Math.min(
                  takeSeconds,
                  Math.max(range.toSeconds, range.fromSeconds + LEAST_SIGHT_S) + around,
                ),
              })
            }
          }}
          isDisabled={sight === null && range === null}
        >
          {sight === null ? 'Zoom to range' : `Show ${wholeName.toLowerCase()}`}
        </Button>
        <Button
          look="plain"
          aria-expanded={open === 'places'}
          aria-keyshortcuts={`${ariaKeysOf('placeBefore')} ${ariaKeysOf('placeAfter')}`}
          isDisabled={places.length === 0}
          onPress={() => toggle('places')}
        >
          {places.length === 0 ? 'No unusual places' : `More than usual: ${places.length}`}
        </Button>
        <Button look="plain" aria-expanded={open === 'table'} onPress={() => toggle('table')}>
          {open === 'table' ? 'Hide table along the song' : 'Table along the song'}
        </Button>
      </div>
      <SongView
        song={song}
        chain={chain}
        rowKeys={rowKeys}
        wholeName={wholeName}
        place={place}
        range={range}
        kept={kept}
        leftPx={leftPx}
        rightPx={rightPx}
        inSight={inSight}
        onChoose={choose}
        onSeek={seek}
        onKey={onKey}
      />
      {kept === null ? null : (
        <RangeComparison
          song={song}
          kept={kept}
          range={range}
          wholeName={wholeName}
          place={place}
          onLeave={() => keepRange(null)}
          onSwap={() => {
            const before = range
            choose(kept)
            keepRange(before)
          }}
        />
      )}
      {open === 'places' ? (
        <PlacesList
          places={places}
          shown={range?.name === `Place ${walked + 1}` ? walked : -1}
          timeOf={(seconds) => sessionSeconds(place, seconds)}
          onShow={showPlace}
        />
      ) : null}
      {open === 'table' ? (
        <SongTable
          song={song}
          place={place}
          ranges={phrases.length > 0 ? phrases : inPieces(takeSeconds)}
          onChoose={choose}
        />
      ) : null}
    </section>
  )
}

const isSameRange = (a: TakeRange, b: TakeRange): boolean =>
  a.name === b.name && a.fromSeconds === b.fromSeconds && a.toSeconds === b.toSeconds

/** For takes whose phrases are not known: pieces of five seconds, or more where that would be too many. */
function inPieces(takeSeconds: number): TakeRange[] {
  const length = Math.max(5, Math.ceil(takeSeconds / 60))
  return Array.from({ length: Math.ceil(takeSeconds / length) }, (_, k) => ({
    name: `Part ${k + 1}`,
    fromSeconds: k * length,
    toSeconds: Math.min(takeSeconds, (k + 1) * length),
  }))
}
