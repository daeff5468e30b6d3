// The tempo map of a Standard MIDI File that starts with the files of a delivery.

import { type Metre, type TempoSection, tempoSections } from '../../words/bars/tempo-map.ts'

/** Ticks of a quarter note. */
export const TICKS_PER_QUARTER = 960

/** Tempo and metre from a tick on. */
export interface MidiTempo {
  readonly tick: number
  /** Time of the tick, computed from the written tempos before it. */
  readonly microseconds: number
  readonly microsecondsPerQuarter: number
  readonly beatsPerBar: number
  readonly beatUnit: number
}

/** What a reader assumes of a file without a tempo. */
const ASSUMED = { microsecondsPerQuarter: 500_000, beatsPerBar: 4, beatUnit: 4 }

/** Two places this close, in frames, are one. */
const SAME_FRAMES = 0.5

const barFramesOf = ({ framesPerBeat, beatsPerBar }: TempoSection): number => framesPerBeat * beatsPerBar
const barTicksOf = ({ beatsPerBar, beatUnit }: Pick<TempoSection, 'beatsPerBar' | 'beatUnit'>): number =>
  (beatsPerBar * TICKS_PER_QUARTER * 4) / beatUnit
const quarterOf = ({ framesPerBeat, beatUnit }: TempoSection, sampleRateHz: number): number =>
  Math.round(((framesPerBeat * beatUnit) / 4 / sampleRateHz) * 1e6)

/**
 * Changes stand on bars, and each tempo is that of the session to the nearest microsecond. Where the files start
 * within a bar, what leads to a bar line becomes one bar of its own tempo, between half and one and a half of a
 * bar long, so that all later bars are where they are in the session.
 * @param metre null: no tempo is known, and the file says what readers assume
 * @param startFrame session frame of tick 0
 */
export function midiTempos(metre: Metre | null, startFrame: number): readonly MidiTempo[] {
  if (metre === null) return [{ ...ASSUMED, tick: 0, microseconds: 0 }]
  const { sampleRateHz } = metre
  const sections = tempoSections(metre)
  const sectionAt = (frame: number): number =>
    Math.max(
      0,
      sections.findLastIndex(({ fromFrame }) => fromFrame <= frame + SAME_FRAMES),
    )
  const tempos: MidiTempo[] = []
  const add = (tick: number, written: Omit<MidiTempo, 'tick' | 'microseconds'>): void => {
    const last = tempos.at(-1)
    const passed = last === undefined ? 0 : (tick - last.tick) * last.microsecondsPerQuarter
    tempos.push({ tick, microseconds: (last?.microseconds ?? 0) + passed / TICKS_PER_QUARTER, ...written })
  }

  const first = barLineFrom(sections, startFrame, sectionAt)
  let tick = 0
  if (first.frame - startFrame > SAME_FRAMES) {
    const { beatsPerBar, beatUnit } = first.before
    const quarters = (beatsPerBar * 4) / beatUnit
    const microseconds = ((first.frame - startFrame) / sampleRateHz) * 1e6
    add(0, { microsecondsPerQuarter: Math.round(microseconds / quarters), beatsPerBar, beatUnit })
    tick = barTicksOf(first.before)
  }
  for (let k = sectionAt(first.frame), from = first.frame; k < sections.length; k++) {
    const section = sections[k]!
    const { beatsPerBar, beatUnit } = section
    add(tick, { microsecondsPerQuarter: quarterOf(section, sampleRateHz), beatsPerBar, beatUnit })
    const next = sections[k + 1]
    if (next === undefined) break
    tick += Math.round((next.fromFrame - from) / barFramesOf(section)) * barTicksOf(section)
    from = next.fromFrame
  }
  return tempos
}

/** The first bar line that is at the frame, or at least half a bar behind it, and the bar before it. */
function barLineFrom(
  sections: readonly TempoSection[],
  startFrame: number,
  sectionAt: (frame: number) => number,
): { readonly frame: number; readonly before: TempoSection } {
  let before = sections[sectionAt(startFrame)]!
  const bars = (startFrame - before.fromFrame) / barFramesOf(before)
  const nearest = before.fromFrame + Math.round(bars) * barFramesOf(before)
  if (Math.abs(nearest - startFrame) <= SAME_FRAMES) return { frame: startFrame, before }
  let frame = before.fromFrame + Math.ceil(bars) * barFramesOf(before)
  while (frame - startFrame < barFramesOf(before) / 2) {
    before = sections[sectionAt(frame)]!
    frame += barFramesOf(before)
  }
  return { frame, before }
}

/** The tick nearest to a time. */
export function tickAt(tempos: readonly MidiTempo[], microseconds: number): number {
  const tempo = tempos.findLast((one) => one.microseconds <= microseconds) ?? tempos[0]!
  const quarters = (microseconds - tempo.microseconds) / tempo.microsecondsPerQuarter
  return tempo.tick + Math.round(quarters * TICKS_PER_QUARTER)
}
