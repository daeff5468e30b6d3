// A rap verse and its ad-libs, for the demo and the tests. The song is invented;
// its words are nonsense syllables.
import { phrase, type Score } from '../score.ts'

const SONG = { tempoBpm: 92, leadInBeats: 2, lengthBeats: 20.5, swing: 0.57 } as const

/** Five bars of swung sixteenths with rests: an even level, then low and close, then up to shouting. */
export const SEVEN_STAIRS_VERSE: Score = {
  ...SONG,
  title: 'Seven Stairs (invented): verse',
  phrases: [
    phrase(0, -3, [
      [0, 0.25, 1, 'S T AE', 1],
      [0.25, 0.25, 0, 'K AH N'],
      [0.5, 0.25, 1, 'D IH'],
      [0.75, 0.25, 0, 'V AH'],
      [1, 0.5, 2, 'S AY D', 1],
      [1.75, 0.25, 0, 'M AH'],
      [2, 0.25, 2, 'L OW', 0.8],
      [2.25, 0.25, 1, 'K IH T'],
      [2.5, 0.25, 0, 'B AE', 0.4],
      [2.75, 0.25, 0, 'R AH N'],
      [3, 0.4, -1, 'T UW L', 1],
    ]),
    phrase(4, -2, [
      [0, 0.25, 2, 'P EH', 1],
      [0.25, 0.25, 1, 'P ER'],
      [0.5, 0.25, 1, 'R AH'],
      [0.75, 0.25, 0, 'D OW'],
      [1, 0.5, 3, 'G AA SH', 1],
      [1.5, 0.25, 1, 'AH'],
      [1.75, 0.25, 0, 'N IY'],
      [2, 0.25, 2, 'V EH', 0.8],
      [2.25, 0.25, 1, 'L AH S'],
      [2.5, 0.25, 1, 'F IH'],
      [2.75, 0.25, 0, 'N OW'],
      [3, 0.4, -1, 'CH AO R', 1],
    ]),
    phrase(8, -7, [
      [0, 0.25, 0, 'S AH'],
      [0.25, 0.25, 0, 'L IY', 0.5],
      [0.5, 0.5, 0, 'B AH N'],
      [1, 0.25, 0, 'T AO', 0.8],
      [1.25, 0.25, -1, 'M AH'],
      [1.5, 0.5, -1, 'R AE S', 0.6],
      [2.25, 0.25, 0, 'W IH'],
      [2.5, 0.25, 1, 'Z EH', 0.6],
      [2.75, 0.25, 0, 'L AH N'],
      [3, 0.4, -2, 'D AW N', 1],
    ]),
    phrase(12, 0, [
      [-0.25, 0.25, 3, 'N AH'],
      [0, 0.25, 4, 'K AE', 1],
      [0.25, 0.25, 3, 'P AH'],
      [0.5, 0.25, 3, 'T EY'],
      [0.75, 0.25, 2, 'SH AH N'],
      [1, 0.5, 5, 'B R AY T', 1],
      [1.75, 0.25, 3, 'HH OW'],
      [2, 0.25, 5, 'S EH', 1],
      [2.25, 0.25, 3, 'V AH N'],
      [2.5, 0.25, 3, 'S T EH R', 0.6],
      [2.75, 0.25, 2, 'Z IH'],
      [3, 0.5, 4, 'F AY', 1],
    ]),
    phrase(16, -1, [
      [0, 0.25, 2, 'Y UW', 0.6],
      [0.25, 0.25, 1, 'R IH'],
      [0.5, 0.25, 1, 'M EY', 0.5],
      [0.75, 0.25, 0, 'L AH'],
      [1, 0.75, 3, 'G OW Z', 1],
      [2, 0.25, 1, 'T AH'],
      [2.25, 0.25, 0, 'D IY'],
      [2.5, 0.25, 0, 'P AA', 0.6],
      [2.75, 0.25, -1, 'S IH'],
      [3, 0.8, -2, 'L OW', 1],
    ]),
  ],
}

/** Shouts in the verse's rests. */
export const SEVEN_STAIRS_AD_LIBS: Score = {
  ...SONG,
  title: 'Seven Stairs (invented): ad-libs',
  phrases: [
    phrase(3.5, 0, [[0, 0.4, 6, 'HH EY', 1]]),
    phrase(7.5, -2, [[0, 0.4, 4, 'Y AA', 0.8]], false),
    phrase(11.5, 0, [
      [0, 0.25, 5, 'S K R AA'],
      [0.25, 0.4, 8, 'K AA', 1],
    ]),
    phrase(15.5, -1, [[0, 0.45, 7, 'W OW', 1]], false),
    phrase(19.5, 0, [[0, 0.7, 3, 'S OW', 1]]),
  ],
}
