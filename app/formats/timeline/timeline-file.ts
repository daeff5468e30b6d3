// An edit list as OpenTimelineIO JSON (Academy Software Foundation, Apache-2.0), in the schema versions that readers of
// every release since 2022 know: Timeline.1, Stack.1, Track.1, Clip.2, Gap.1, Marker.2, ExternalReference.1.

import type { FileMarker } from '../markers/file-marker.ts'

/** The sound that a clip plays from, with all of its frames. */
export interface ClipMedia {
  /** Relative to the edit list; null where the file is not delivered. */
  readonly url: string | null
  readonly sampleRateHz: number
  /** Its own time stamp, or 0. */
  readonly startFrame: number
  readonly frames: number
}

/** One clip of a track. */
export interface TimelineClip {
  readonly name: string
  /** From the first sample of the timeline, at the timeline's rate. */
  readonly startFrame: number
  /** Frames of the media that are heard, counted from its start, at the media's rate. */
  readonly fromFrame: number
  readonly frames: number
  readonly media: ClipMedia
  readonly metadata: Readonly<Record<string, string | number>>
}

/** An edit list of one song. */
export interface TimelineFacts {
  readonly name: string
  readonly sampleRateHz: number
  /** Samples since midnight of its first sample. */
  readonly timeReferenceSamples: number
  readonly tracks: readonly { readonly name: string; readonly clips: readonly TimelineClip[] }[]
  /** At the timeline's rate. */
  readonly markers: readonly FileMarker[]
  readonly metadata: Readonly<Record<string, string | number>>
}

const time = (value: number, rate: number) => ({ OTIO_SCHEMA: 'RationalTime.1', rate, value })
const range = (start: number, frames: number, rate: number) => ({
  OTIO_SCHEMA: 'TimeRange.1',
  duration: time(frames, rate),
  start_time: time(start, rate),
})
const own = (metadata: Readonly<Record<string, string | number>>) =>
  Object.keys(metadata).length === 0 ? {} : { takeloft: metadata }

function mediaOf({ url, sampleRateHz, startFrame, frames }: ClipMedia) {
  const available = range(startFrame, frames, sampleRateHz)
  return url === null
    ? {
        OTIO_SCHEMA: 'MissingReference.1',
        metadata: {},
        name: '',
        available_range: available,
        available_image_bounds: null,
      }
    : {
        OTIO_SCHEMA: 'ExternalReference.1',
        metadata: {},
        name: '',
        available_range: available,
        available_image_bounds: null,
        target_url: url,
      }
}

const item = { effects: [], markers: [], enabled: true }

const clipOf = ({ name, fromFrame, frames, media, metadata }: TimelineClip) => ({
  OTIO_SCHEMA: 'Clip.2',
  metadata: own(metadata),
  name,
  source_range: range(media.startFrame + fromFrame, frames, media.sampleRateHz),
  ...item,
  media_references: { DEFAULT_MEDIA: mediaOf(media) },
  active_media_reference_key: 'DEFAULT_MEDIA',
})

const gapOf = (frames: number, rate: number) => ({
  OTIO_SCHEMA: 'Gap.1',
  metadata: {},
  name: '',
  source_range: range(0, frames, rate),
  ...item,
})

/** Clips of a track do not overlap; what is between them is a gap at the rate of the timeline. */
function childrenOf(clips: readonly TimelineClip[], rate: number): object[] {
  let at = 0
  return clips.flatMap((clip) => {
    const before = clip.startFrame - at
    at = clip.startFrame + (clip.frames * rate) / clip.media.sampleRateHz
    return [...(before > 0 ? [gapOf(before, rate)] : []), clipOf(clip)]
  })
}

/** The whole file. */
export function timelineFile(facts: TimelineFacts): string {
  const { sampleRateHz: rate } = facts
  const document = {
    OTIO_SCHEMA: 'Timeline.1',
    metadata: own(facts.metadata),
    name: facts.name,
    global_start_time: time(facts.timeReferenceSamples, rate),
    tracks: {
      OTIO_SCHEMA: 'Stack.1',
      metadata: {},
      name: 'tracks',
      source_range: null,
      ...item,
      markers: facts.markers.map((marker) => ({
        OTIO_SCHEMA: 'Marker.2',
        metadata: {},
        name: marker.name,
        color: 'GREEN',
        comment: marker.note,
        marked_range: range(marker.startFrame, marker.frames, rate),
      })),
      children: facts.tracks.map((track) => ({
        OTIO_SCHEMA: 'Track.1',
        metadata: {},
        name: track.name,
        source_range: null,
        ...item,
        children: childrenOf(track.clips, rate),
        kind: 'Audio',
      })),
    },
  }
  // Times are floating-point numbers in the schema, and some readers tell 1 from 1.0. Quotes within strings are
  // escaped, so that no text can look like such a line.
  return `${JSON.stringify(document, null, 2).replaceAll(/^( *"(?:rate|value)": -?\d+)(,?)$/gm, '$1.0$2')}\n`
}
