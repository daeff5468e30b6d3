// One shift for a layer. A layer is moved as a whole, so what each phrase asks for is one vote.

/** What one phrase asks for: later by so many ms, earlier below 0, for so many seconds of the song. */
export interface ShiftVote {
  readonly ms: number
  readonly seconds: number
}

/** @property spreadMs mean distance of the votes from the shift, weighted by their seconds */
export interface LayerShift {
  readonly shiftMs: number
  readonly spreadMs: number
}

/**
 * The median of the votes, weighted by their seconds: the shift that leaves the least distance on average.
 * @returns null where what is left after it is more than it takes away, and without votes
 */
export function layerShift(votes: readonly ShiftVote[]): LayerShift | null {
  const whole = votes.reduce((sum, { seconds }) => sum + seconds, 0)
  if (!(whole > 0)) return null
  const distanceFrom = (ms: number): number =>
    votes.reduce((sum, vote) => sum + vote.seconds * Math.abs(vote.ms - ms), 0) / whole
  let below = 0
  const shift = votes
    .toSorted((a, b) => a.ms - b.ms)
    .find(({ seconds }) => {
      below += seconds
      return below >= whole / 2
    })!
  const spreadMs = distanceFrom(shift.ms)
  const won = distanceFrom(0) - spreadMs
  return won > spreadMs ? { shiftMs: shift.ms, spreadMs } : null
}
