// The places where a stage does more than usual, as a list in the order of time.

import type { StageKind } from '../../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES } from '../../../../app/words/chain/stage-words.ts'
import { formatDuration, formatNumber, withUnit } from '../../../../app/words/format.ts'
import type { LanePlace } from '../../../formats/song/lanes.ts'
import { Button } from '../../../parts/button.tsx'

/** A place with the moment of its greatest figure, in seconds of the take. */
export interface ShownPlace extends LanePlace {
  readonly seconds: number
}

export interface PlacesListProps {
  readonly places: readonly ShownPlace[]
  /** Index of the one that the range shows; -1 for none. */
  readonly shown: number
  readonly timeOf: (takeSeconds: number) => number
  readonly onShow: (index: number) => void
}

export const PlacesList = ({ places, shown, timeOf, onShow }: PlacesListProps) => (
  <ol className="song-places" aria-label="Places where a stage does more than usual">
    {places.map((place, index) => (
      <li key={`${place.lane.stage} ${place.fromRow}`}>
        <Button
          look="plain"
          className="song-place"
          aria-current={index === shown}
          onPress={() => onShow(index)}
        >
          <span className="number">{formatDuration(timeOf(place.seconds))}</span> {wordsOf(place)}
        </Button>
      </li>
    ))}
  </ol>
)

function wordsOf({ lane, mostDb, usualDb }: LanePlace): string {
  const name = STAGE_NAMES[lane.kind as StageKind]
  const most = withUnit(formatNumber(mostDb, 1), 'dB')
  const usual = withUnit(formatNumber(usualDb, 1), 'dB')
  return lane.measure === 'added'
    ? `${name} adds ${most}, usually ${usual}`
    : `${name} reduces by ${most}, usually ${usual}`
}
