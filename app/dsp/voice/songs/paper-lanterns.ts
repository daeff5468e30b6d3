// A sung hook and its ad-libs, for the demo and the tests. The song is invented;
// its words are nonsense syllables.
import { phrase, type Score } from '../score.ts'

const SONG = { tempoBpm: 88, leadInBeats: 2, lengthBeats: 17, swing: 0.5 } as const

/** Four phrases over four bars: soft, fuller, soft again, then the held high notes. */
export const PAPER_LANTERNS_HOOK: Score = {
  ...SONG,
  title: 'Paper Lanterns (invented): hook',
  phrases: [
    phrase(0, -7, [
      [0, 0.75, 0, 'S OW'],
      [0.75, 0.25, 2, 'L AH'],
      [1, 0.5, 3, 'N EY'],
      [1.5, 0.5, 2, 'V IH'],
      [2, 1.3, 7, 'SH AA L', 1],
    ]),
    phrase(4, -2, [
      [-0.25, 0.25, 5, 'AH'],
      [0, 0.75, 7, 'M IY', 0.6],
      [0.75, 0.25, 5, 'R AH'],
      [1, 0.5, 3, 'T EH N', 0.4],
      [1.5, 0.5, 5, 'D OW'],
      [2, 0.5, 3, 'K AE S', 0.5],
      [2.5, 0.9, 2, 'T AY N', 0.5],
    ]),
    phrase(8, -8, [
      [0, 0.5, 0, 'F AH'],
      [0.5, 0.5, 2, 'L EH'],
      [1, 0.5, 3, 'W IY S'],
      [1.5, 0.5, 5, 'P OW'],
      [2, 0.5, 7, 'HH AE N', 0.5],
      [2.5, 0.9, 8, 'Z UW'],
    ]),
    phrase(12, 0, [
      [-0.5, 0.25, 7, 'S T AH'],
      [-0.25, 0.25, 8, 'L IY'],
      [0, 1.5, 10, 'R OW', 1],
      [1.5, 0.5, 8, 'S EY', 0.4],
      [2, 2.6, 7, 'V AA', 1],
    ]),
  ],
}

/** Responses in the hook's gaps. */
export const PAPER_LANTERNS_AD_LIBS: Score = {
  ...SONG,
  title: 'Paper Lanterns (invented): ad-libs',
  phrases: [
    phrase(3.5, -3, [[0, 0.5, 12, 'Y EH', 0.5]]),
    phrase(7.25, -2, [
      [0, 0.25, 10, 'OW'],
      [0.25, 0.6, 12, 'HH OW', 0.7],
    ]),
    phrase(11.25, -4, [
      [0, 0.25, 12, 'S EY'],
      [0.25, 0.5, 10, 'N AH', 0.5],
    ]),
    phrase(13.5, 0, [
      [0, 0.5, 12, 'HH EY', 1],
      [0.5, 1.4, 15, 'Y AA', 1],
    ]),
  ],
}
