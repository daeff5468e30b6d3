// Which part of a session's song is checked, and the phrases of its lead in it.

import type { Layer, SessionContents, Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { RenderPlan } from '../../contract/render-plan.ts'
import type { SongRange } from '../../contract/sections/song-range.ts'
import type { FrameSpan } from '../../dsp/stack/stack-layers.ts'
import { formatDuration } from '../../words/format.ts'
import { spanOfSection } from './span-of-range.ts'

/** Shorter than this, no band holds a whole frame of the analysis beside its neighbours. */
const SHORTEST_SECONDS = 0.25
/** Where a lead has no phrases from its import, parts of this length are judged instead. */
const PART_SECONDS = 2

/**
 * The range in frames of the session, cut to the song.
 * @throws Failure `invalid-input` for a range that is too short, turned round or outside of the song, `not-found` for
 *   a section that is not there
 */
export function framesOfRange(plan: RenderPlan, range: SongRange, contents: SessionContents): FrameSpan {
  const end = plan.startFrame + plan.frames
  const { name, from, to } = wantedFrames(plan, range, contents, end)
  const seconds = (frames: number): string => formatDuration(frames / plan.sampleRateHz)
  if (to <= from) {
    throw new Failure('invalid-input', `${name} ends before it begins; choose a later end.`)
  }
  if (to <= plan.startFrame || from >= end) {
    throw new Failure(
      'invalid-input',
      `${name} is outside of the song, which goes from ${seconds(plan.startFrame)} to ${seconds(end)}; choose another range.`,
    )
  }
  const inSong = { from: Math.max(plan.startFrame, from), to: Math.min(end, to) }
  if (inSong.to - inSong.from < SHORTEST_SECONDS * plan.sampleRateHz) {
    const ms = Math.round((1000 * (inSong.to - inSong.from)) / plan.sampleRateHz)
    throw new Failure(
      'invalid-input',
      `${name} has ${ms} ms of the song, which is too short to tell what builds up; choose at least ${1000 * SHORTEST_SECONDS} ms.`,
    )
  }
  return inSong
}

function wantedFrames(
  plan: RenderPlan,
  range: SongRange,
  contents: SessionContents,
  end: number,
): FrameSpan & { readonly name: string } {
  switch (range.kind) {
    case 'song':
      return { name: 'The song', from: plan.startFrame, to: end }
    case 'frames':
      return { name: 'The range', from: range.fromFrame, to: range.toFrame }
    case 'section': {
      const { name, fromFrame, toFrame } = spanOfSection(contents, range.sectionId)
      return { name, from: fromFrame, to: toFrame }
    }
  }
}

/** Phrases of the lead's takes in frames of the session, merged where layers overlap, cut to the range. */
export function leadPhrases(
  layers: readonly Layer[],
  takes: readonly Take[],
  sampleRateHz: number,
  range: FrameSpan,
): { readonly phrases: readonly FrameSpan[]; readonly areParts: boolean } {
  const spans = layers
    .filter(({ role, muted }) => role === 'lead' && !muted)
    .flatMap(({ takeId, offsetSamples }) => {
      const take = takes.find(({ id }) => id === takeId)
      return (take?.facts.check?.phrases ?? []).map(({ fromS, toS }) => ({
        from: offsetSamples + Math.round(fromS * sampleRateHz),
        to: offsetSamples + Math.round(toS * sampleRateHz),
      }))
    })
  const merged: { from: number; to: number }[] = []
  for (const { from, to } of spans.sort((a, b) => a.from - b.from)) {
    const last = merged.at(-1)
    if (last !== undefined && from <= last.to) last.to = Math.max(last.to, to)
    else merged.push({ from, to })
  }
  const phrases = merged
    .map(({ from, to }) => ({ from: Math.max(range.from, from), to: Math.min(range.to, to) }))
    .filter(({ from, to }) => to - from >= 0.1 * sampleRateHz)
  return phrases.length > 0
    ? { phrases, areParts: false }
    : { phrases: partsOf(range, sampleRateHz), areParts: true }
}

function partsOf({ from, to }: FrameSpan, sampleRateHz: number): FrameSpan[] {
  const count = Math.max(1, Math.floor((to - from) / (PART_SECONDS * sampleRateHz)))
  return Array.from({ length: count }, (_, i) => ({
    from: from + Math.floor((i * (to - from)) / count),
    to: from + Math.floor(((i + 1) * (to - from)) / count),
  }))
}
