// Places in a take as buttons; each plays from shortly before.

import { useState } from 'react'
import type { Take } from '../../../app/contract/entities.ts'
import { formatDuration } from '../../../app/words/format.ts'
import { Button } from '../../parts/button.tsx'
import { playPlace } from './audition.ts'

const SHOWN_AT_FIRST = 6

export interface PlaceButtonsProps {
  readonly take: Take
  readonly sessionRateHz: number
  /** What can be heard there, for the accessible labels, such as 'pops'. */
  readonly what: string
  readonly places: readonly { readonly fromS: number }[]
}

/** One button per place, labelled with its time; the first six are shown at once. */
export function PlaceButtons({ take, sessionRateHz, what, places }: PlaceButtonsProps) {
  const [showsAll, setShowsAll] = useState(false)
  if (places.length === 0) return null
  const shown = showsAll ? places : places.slice(0, SHOWN_AT_FIRST)
  return (
    <span className="place-buttons">
      <span className="soft">Listen at</span>
      {shown.map((place) => (
        <Button
          key={place.fromS}
          look="plain"
          className="place-button number"
          aria-label={`Listen to ${what} at ${formatDuration(place.fromS)}`}
          onPress={() => playPlace(take, sessionRateHz, place)}
        >
          {formatDuration(place.fromS)}
        </Button>
      ))}
      {places.length > SHOWN_AT_FIRST ? (
        <Button
          look="plain"
          className="place-button"
          aria-expanded={showsAll}
          onPress={() => setShowsAll(!showsAll)}
        >
          {showsAll ? 'Show fewer' : `Show all ${places.length}`}
        </Button>
      ) : null}
    </span>
  )
}
