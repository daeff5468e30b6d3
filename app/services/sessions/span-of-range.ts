// Which part of the song a bounce, a delivery or a measurement holds.

import type { SessionContents } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { SongRange, SongSpan } from '../../contract/sections/song-range.ts'
import { greatestCommonDivisor } from '../../dsp/maths/greatest-common-divisor.ts'
import { formatDuration } from '../../words/format.ts'
import { placeOfLayer } from './layer-place.ts'

/**
 * The span in session frames. Its start is moved back to where both rates have a sample, by at most 4 ms, so that
 * the time stamp of the files is exact; the plan begins there at the latest.
 * @param sampleRateHz of the files
 * @throws Failure `invalid-input` for a section that is not in the session or a range outside of the song
 */
export function spanOfRange(
  plan: RenderPlan,
  range: SongRange,
  contents: SessionContents,
  sampleRateHz = plan.sampleRateHz,
): { readonly plan: RenderPlan; readonly span: SongSpan } {
  const end = plan.startFrame + plan.frames
  const wanted = wantedSpan(plan, range, contents)
  const from = Math.max(plan.startFrame, wanted.fromFrame)
  const to = Math.min(end, wanted.toFrame)
  if (to <= from) {
    throw new Failure(
      'invalid-input',
      `${wanted.name || 'The range'} is outside of the song, which lasts ${formatDuration(plan.frames / plan.sampleRateHz)}; choose another range.`,
    )
  }
  const grid = plan.sampleRateHz / greatestCommonDivisor(plan.sampleRateHz, sampleRateHz)
  const startFrame = Math.floor(from / grid) * grid
  const planStart = Math.min(plan.startFrame, startFrame)
  return {
    plan: { ...plan, startFrame: planStart, frames: end - planStart },
    span: { name: wanted.name, startFrame, frames: to - startFrame },
  }
}

/** The span at the rate of the plan; null for the whole song. @throws Failure as spanOfRange */
export const partOfSong = (
  plan: RenderPlan,
  range: SongRange | undefined,
  contents: SessionContents,
): SongSpan | null =>
  range === undefined || range.kind === 'song' ? null : spanOfRange(plan, range, contents).span

/** Whether a layer sounds in a part of the song. */
export const isInSpan = (
  layer: PlannedLayer,
  rateHz: number,
  span: Pick<SongSpan, 'startFrame' | 'frames'>,
): boolean => {
  const { from, to } = placeOfLayer(layer, rateHz)
  return from < span.startFrame + span.frames && to > span.startFrame
}

interface WantedSpan {
  readonly name: string
  readonly fromFrame: number
  readonly toFrame: number
}

function wantedSpan(plan: RenderPlan, range: SongRange, contents: SessionContents): WantedSpan {
  switch (range.kind) {
    case 'song':
      return { name: '', fromFrame: plan.startFrame, toFrame: plan.startFrame + plan.frames }
    case 'frames': {
      const { fromFrame, toFrame } = range
      const time = (frame: number): string => formatDuration(frame / plan.sampleRateHz)
      return { name: `${time(fromFrame)} to ${time(toFrame)}`, fromFrame, toFrame }
    }
    case 'section':
      return spanOfSection(contents, range.sectionId)
  }
}

/** @throws Failure `not-found` for a section that is not in the session, `invalid-input` for a marker without a length */
export function spanOfSection(contents: SessionContents, sectionId: number): WantedSpan {
  const section = contents.sections.find(({ id }) => id === sectionId)
  if (section === undefined) throw noSuchSection(contents, sectionId)
  const { name, startSamples, lengthSamples } = section
  if (lengthSamples === 0) {
    throw new Failure(
      'invalid-input',
      `${name} is a marker without a length; choose a section, or give it one.`,
    )
  }
  return { name, fromFrame: startSamples, toFrame: startSamples + lengthSamples }
}

function noSuchSection({ session, sections }: SessionContents, sectionId: number): Failure {
  const named = sections
    .filter(({ lengthSamples }) => lengthSamples > 0)
    .map(({ id, name }) => `${id} (${name})`)
  const which = named.length === 0 ? 'it has none' : `its sections are ${named.join(', ')}`
  return new Failure('not-found', `${session.songTitle} has no section ${sectionId}; ${which}.`, {
    sectionId,
  })
}
