// Rounds of a comparison by ear. While it is blind, the order of the versions is drawn anew for every round and shown
// only once one of them was chosen. What was chosen is counted; nothing is concluded from it.

export interface EarRounds {
  readonly isBlind: boolean
  /** Which version each button plays. */
  readonly order: readonly number[]
  /** The version chosen in this round. */
  readonly chosen: number | null
  /** How often each version was chosen. */
  readonly counts: readonly number[]
}

const inOrder = (versions: number): number[] => Array.from({ length: versions }, (_, n) => n)

/** Every order is as likely as any other (Fisher and Yates; Knuth, TAOCP 3.4.2, algorithm P). */
function drawnOrder(versions: number, random: () => number): number[] {
  const order = inOrder(versions)
  for (let last = versions - 1; last > 0; last--) {
    const at = Math.floor(random() * (last + 1))
    ;[order[last], order[at]] = [order[at], order[last]]
  }
  return order
}

const orderFor = (isBlind: boolean, versions: number, random: () => number): number[] =>
  isBlind ? drawnOrder(versions, random) : inOrder(versions)

/** A comparison with nothing chosen yet; also what starts again when versions or blindness change. */
export const newRounds = (versions: number, isBlind: boolean, random: () => number): EarRounds => ({
  isBlind,
  order: orderFor(isBlind, versions, random),
  chosen: null,
  counts: inOrder(versions).map(() => 0),
})

/** Chooses what a button plays; once in a round. */
export function choose(rounds: EarRounds, button: number): EarRounds {
  if (rounds.chosen !== null) return rounds
  const chosen = rounds.order[button]
  return { ...rounds, chosen, counts: rounds.counts.map((count, n) => (n === chosen ? count + 1 : count)) }
}

/** The next round, with the counts so far. */
export const nextRound = (rounds: EarRounds, random: () => number): EarRounds => ({
  ...rounds,
  order: orderFor(rounds.isBlind, rounds.order.length, random),
  chosen: null,
})

/** Whether the names of what the buttons play are shown. */
export const isOrderShown = ({ isBlind, chosen }: EarRounds): boolean => !isBlind || chosen !== null
