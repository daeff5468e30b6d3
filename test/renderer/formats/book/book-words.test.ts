import { describe, expect, it } from 'vitest'
import type { BookChange, BookSession } from '../../../../app/contract/book/voice-book.ts'
import { defaultStages } from '../../../../app/contract/chain-document.ts'
import { changeSentence, noChangeWords } from '../../../../renderer/formats/book/change-words.ts'
import { formatFigure, unusualSentences } from '../../../../renderer/formats/book/figure-words.ts'
import { isJoined, laneOf } from '../../../../renderer/formats/book/lane-scale.ts'
import { differenceOf, levelDependent } from '../../../../renderer/formats/book/tone-difference.ts'

const figure = (value: number, median: number | null = null, isUnusual = false) => ({
  value,
  lowest: value - 1,
  highest: value + 1,
  usual: median === null ? null : { sessions: 6, median, spread: 2 },
  isUnusual,
})
const session = (changes: Partial<BookSession> = {}): BookSession => ({
  sessionId: 1,
  date: '2026-03-03',
  songTitle: 'Invented Song',
  mic: { id: 1, name: 'Invented Flat' },
  isMicTakenOut: true,
  takes: [],
  takesLeftOut: 0,
  chains: [],
  bounces: [],
  figures: {},
  ...changes,
})
/** Words about the body, its state, causes and advice, which no sentence of the book has. */
const FORBIDDEN =
  /tired|health|strain|hoarse|ill\b|sick|damage|fatigue|age|rest\b|should|because|doctor|warm up/i

describe('sentences about a session', () => {
  it('say what is unusual beside how many sessions, and what else differs, without a cause', () => {
    const now = session({
      figures: { air: figure(-8, -17, true), pitch: figure(2.1, 0), level: figure(-20, -20.5) },
    })
    expect(unusualSentences(now, session())).toEqual([
      'Air is 9.0\u202fdB above the median of 6 earlier sessions; same mic; 2.1\u202fsemitones higher.',
    ])
    const other = session({ mic: { id: 2, name: 'Invented Bright' } })
    expect(unusualSentences(now, other)[0]).toMatch(/other mic/)
    expect(unusualSentences(session({ figures: { air: figure(-8, -9) } }), undefined)).toEqual([])
  })
})

describe('sentences about changes', () => {
  const sessions = [session(), session({ songTitle: 'Second Song' })]
  it.each([
    [
      { kind: 'trend', figure: 'pitch', sessions: 9, change: -2.44, withinMics: false },
      'Pitch, median falls by 2.4\u202fsemitones over 9 sessions.',
    ],
    [
      { kind: 'trend', figure: 'air', sessions: 9, change: 4.6, withinMics: true },
      'Air rises by 4.6\u202fdB over 9 sessions, compared only within each mic.',
    ],
    [
      { kind: 'step', figure: 'harsh', sessions: 8, since: 1, difference: 4.5 },
      'Harsh is 4.5\u202fdB higher since Mar 3, 2026 (Second Song) than before, over 8 sessions.',
    ],
  ] satisfies [BookChange, string][])('%o', (change, sentence) => {
    expect(changeSentence(change, sessions)).toBe(sentence)
    expect(sentence).not.toMatch(FORBIDDEN)
  })

  it('say when there is nothing to say', () => {
    for (const words of [noChangeWords(3), noChangeWords(40)]) expect(words).not.toMatch(FORBIDDEN)
    expect(noChangeWords(3)).toMatch(/seven/)
  })
})

it('shows pitch in Hz: nine semitones under A 440 is the middle C of 261.6 Hz', () => {
  expect(formatFigure('pitch', -9)).toBe('262\u202fHz')
  expect(formatFigure('level', -21.44)).toBe('−21.4\u202fdBFS')
})

describe('a lane', () => {
  it('shows points and usual spread, and at least 8 dB', () => {
    const lane = laneOf('air', [session({ figures: { air: figure(-10) } }), session()])!
    expect(lane.points[1]).toBeNull()
    expect(lane.to - lane.from).toBeGreaterThanOrEqual(8)
    const wide = laneOf('air', [session({ figures: { air: figure(-10, 5) } })])!
    expect(wide.to).toBeGreaterThan(7)
    expect(laneOf('air', [session()])).toBeNull()
  })

  it('breaks where balances cannot be compared, and pitch never', () => {
    const raw = session({ isMicTakenOut: false })
    const other = session({ isMicTakenOut: false, mic: { id: 2, name: 'b' } })
    expect(isJoined('air', session(), session({ mic: { id: 2, name: 'b' } }))).toBe(true)
    expect(isJoined('air', session(), raw)).toBe(false)
    expect(isJoined('air', raw, other)).toBe(false)
    expect(isJoined('air', raw, raw)).toBe(true)
    expect(isJoined('pitch', raw, other)).toBe(true)
  })
})

it('adds up the responses of the stages, and names the stages that have none', () => {
  expect(
    differenceOf(
      [[1, 2], null],
      [
        [3, 2],
        [1, 1],
      ],
      2,
    ),
  ).toEqual([3, 1])
  const on = <K extends keyof typeof defaultStages>(kind: K) => ({ ...defaultStages[kind], on: true })
  expect(levelDependent([on('tone')], [on('opto'), on('opto'), { ...on('drive'), on: false }])).toEqual([
    'Opto',
  ])
})
