// Converts session frames to bars and beats and back, through the tempo changes of a session.

import type { TempoChange } from '../../contract/entities.ts'

/** Tempo and metre of a session; bar 1 starts at session frame 0. */
export interface Metre {
  readonly sampleRateHz: number
  /** Quarter notes per minute, whatever the beat unit. */
  readonly tempoBpm: number
  readonly beatsPerBar: number
  /** Quarter notes if omitted. */
  readonly beatUnit?: number
  /** In the order of their bars. */
  readonly tempoChanges?: readonly TempoChange[]
}

/** Bars of one tempo and metre, from `fromFrame` to the next section. */
export interface TempoSection {
  /** Counts from 1. */
  readonly fromBar: number
  /** Session frame of its first beat, not rounded. */
  readonly fromFrame: number
  readonly framesPerBeat: number
  readonly beatsPerBar: number
  /** The note value of a beat: 4 for quarter notes. */
  readonly beatUnit: number
}

/** A place in the song: `beat` counts from 0 within its bar, and may be a fraction. */
export interface BarPlace {
  readonly bar: number
  readonly beat: number
}

/** Frames of one beat; `tempoBpm` counts quarter notes, so an eighth is half as long. */
export const framesPerBeat = (tempoBpm: number, sampleRateHz: number, beatUnit = 4): number =>
  (60 / tempoBpm) * sampleRateHz * (4 / beatUnit)

/** The sections of a session; the first also covers everything before session time zero. */
export function tempoSections(metre: Metre): readonly TempoSection[] {
  const { sampleRateHz } = metre
  let last: TempoSection = {
    fromBar: 1,
    fromFrame: 0,
    framesPerBeat: framesPerBeat(metre.tempoBpm, sampleRateHz, metre.beatUnit),
    beatsPerBar: metre.beatsPerBar,
    beatUnit: metre.beatUnit ?? 4,
  }
  const sections = [last]
  for (const { bar, tempoBpm, beatsPerBar, beatUnit } of metre.tempoChanges ?? []) {
    last = {
      fromBar: bar,
      fromFrame: last.fromFrame + (bar - last.fromBar) * last.beatsPerBar * last.framesPerBeat,
      framesPerBeat: framesPerBeat(tempoBpm, sampleRateHz, beatUnit),
      beatsPerBar,
      beatUnit,
    }
    sections.push(last)
  }
  return sections
}

/** The section that a bar is in. */
export const sectionOfBar = (sections: readonly TempoSection[], bar: number): TempoSection =>
  sections.findLast(({ fromBar }) => fromBar <= bar) ?? sections[0]!

/** The section that sounds at a frame. */
const sectionAt = (sections: readonly TempoSection[], frame: number): TempoSection =>
  sections.findLast(({ fromFrame }) => fromFrame <= frame) ?? sections[0]!

/**
 * The place at a frame.
 * @param partsPerBeat rounds to that many parts of a beat; a place at the end of a bar becomes the next bar
 */
export function placeAt(sections: readonly TempoSection[], frame: number, partsPerBeat: number): BarPlace {
  const { fromBar, fromFrame, framesPerBeat: beatFrames, beatsPerBar } = sectionAt(sections, frame)
  const parts = Math.round(((frame - fromFrame) / beatFrames) * partsPerBeat)
  const perBar = beatsPerBar * partsPerBeat
  const bars = Math.floor(parts / perBar)
  return { bar: fromBar + bars, beat: (parts - bars * perBar) / partsPerBeat }
}

/** The frame of a place, not rounded. */
export function frameOf(sections: readonly TempoSection[], { bar, beat }: BarPlace): number {
  const section = sectionOfBar(sections, bar)
  return section.fromFrame + ((bar - section.fromBar) * section.beatsPerBar + beat) * section.framesPerBeat
}

/** The nearest beat, as a frame that is not rounded. Sections start on a bar, so beats join without a gap. */
export function nearestBeat(sections: readonly TempoSection[], frame: number): number {
  const { fromFrame, framesPerBeat: beatFrames } = sectionAt(sections, frame)
  return fromFrame + Math.round((frame - fromFrame) / beatFrames) * beatFrames
}

/** The frame some beats later or earlier, not rounded, in beats of the tempo on that side. */
export function stepBeats(sections: readonly TempoSection[], frame: number, steps: number): number {
  const side = sectionAt(sections, steps < 0 ? frame - 1 : frame)
  return frame + steps * side.framesPerBeat
}
