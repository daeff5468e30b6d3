// The figures of a voice's book in words and numbers.

import type { BookFigure, BookSession, SeasonFigure } from '../../../app/contract/book/voice-book.ts'
import { formatFrequency, formatLevel, formatNumber, withUnit } from '../../../app/words/format.ts'

/** Name of each figure, and what it is. */
export const FIGURE_WORDS: Readonly<Record<SeasonFigure, { readonly name: string; readonly what: string }>> =
  {
    level: { name: 'Level', what: 'RMS level of the voice in the takes, dBFS' },
    'pitch-low': { name: 'Pitch, low end', what: '5 % of the pitch is lower' },
    pitch: { name: 'Pitch, median', what: 'half of the pitch is lower' },
    'pitch-high': { name: 'Pitch, high end', what: '5 % of the pitch is higher' },
    low: { name: 'Low', what: '100 to 250 Hz against 0.63 to 2 kHz' },
    mud: { name: 'Mud', what: '200 to 500 Hz against 0.63 to 2 kHz' },
    nasal: { name: 'Nasal', what: '0.8 to 1.6 kHz against 500 to 630 Hz' },
    harsh: { name: 'Harsh', what: '2 to 5 kHz against 315 Hz to 1 kHz' },
    sibilance: { name: 'Sibilance', what: 'strong sibilants against the vowels' },
    air: { name: 'Air', what: '10 to 16 kHz against 315 Hz to 1 kHz' },
  }

export const isPitch = (figure: SeasonFigure): boolean => figure.startsWith('pitch')

/** Frequency in Hz of a pitch in semitones over 440 Hz. */
const hzOf = (semitones: number): number => 440 * 2 ** (semitones / 12)

/** 182 Hz, −21.4 dBFS, 3.1 dB. */
export function formatFigure(figure: SeasonFigure, value: number): string {
  if (isPitch(figure)) return formatFrequency(Math.round(hzOf(value)))
  return formatLevel(value, figure === 'level' ? 'dBFS' : 'dB')
}

/** The size of a difference: 1.2 semitones, 3.1 dB. */
export const formatDifference = (figure: SeasonFigure, difference: number): string =>
  withUnit(formatNumber(Math.abs(difference), 1), isPitch(figure) ? 'semitones' : 'dB')

/** What a session's unusual figures are beside the sessions before, one sentence each. */
export function unusualSentences(session: BookSession, before: BookSession | undefined): string[] {
  return Object.entries(session.figures).flatMap(([key, now]) => {
    const figure = key as SeasonFigure
    if (!now.isUnusual || now.usual === null) return []
    const difference = now.value - now.usual.median
    const words = `${FIGURE_WORDS[figure].name} is ${formatDifference(figure, difference)} ${difference > 0 ? 'above' : 'below'} the median of ${now.usual.sessions} earlier sessions`
    return `${[words, ...circumstances(figure, session, before)].join('; ')}.`
  })
}

/** What else differs, without saying that it is the cause. */
function circumstances(
  figure: SeasonFigure,
  session: BookSession,
  before: BookSession | undefined,
): string[] {
  const words: string[] = []
  if (before !== undefined) words.push(before.mic?.id === session.mic?.id ? 'same mic' : 'other mic')
  if (!isPitch(figure)) words.push(...besideUsual('pitch', session.figures.pitch, 1, 'higher', 'lower'))
  if (figure !== 'level') words.push(...besideUsual('level', session.figures.level, 2, 'louder', 'softer'))
  return words
}

function besideUsual(
  figure: SeasonFigure,
  now: BookFigure | undefined,
  least: number,
  above: string,
  below: string,
): string[] {
  if (now?.usual == null) return []
  const difference = now.value - now.usual.median
  if (Math.abs(difference) < least) return []
  return [`${formatDifference(figure, difference)} ${difference > 0 ? above : below}`]
}
