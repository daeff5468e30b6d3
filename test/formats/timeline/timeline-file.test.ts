// The edit list against the fields of the OpenTimelineIO file format (opentimelineio.readthedocs.io, "File Format
// Specification" and "Serialized Schema Documentation"), read as plain JSON.

import { describe, expect, it } from 'vitest'
import { type TimelineClip, timelineFile } from '../../../app/formats/timeline/timeline-file.ts'

const clip = (changes: Partial<TimelineClip> = {}): TimelineClip => ({
  ...{ name: 'Lead', startFrame: 24_000, fromFrame: 0, frames: 480_001 },
  media: { url: '../02_Dry/Raw/a.wav', sampleRateHz: 48_000, startFrame: 172_800_000, frames: 480_001 },
  metadata: { gain_db: -3.5 },
  ...changes,
})
const text = (clips: readonly TimelineClip[]): string =>
  timelineFile({
    ...{ name: 'Night "Train"\n"rate": 5', sampleRateHz: 48_000, timeReferenceSamples: 173_280_000 },
    tracks: [{ name: 'Lead', clips }],
    markers: [{ name: 'Chorus', startFrame: 96_001, frames: 48_000, note: 'twice' }],
    metadata: {},
  })

/** Names of the schemas at any depth, and which properties each has. */
function schemas(value: unknown, found = new Map<string, Set<string>>()): Map<string, Set<string>> {
  if (Array.isArray(value)) for (const one of value) schemas(one, found)
  else if (typeof value === 'object' && value !== null) {
    const { OTIO_SCHEMA: schema, ...rest } = value as Record<string, unknown>
    if (typeof schema === 'string') {
      const keys = found.get(schema) ?? new Set()
      for (const key of Object.keys(rest)) keys.add(key)
      found.set(schema, keys)
    }
    for (const one of Object.values(rest)) schemas(one, found)
  }
  return found
}

describe('an edit list', () => {
  it('has the schemas that old readers know, with the fields that they require', () => {
    const found = schemas(JSON.parse(text([clip()])))
    expect([...found.keys()].sort()).toEqual(
      [
        'Clip.2',
        'ExternalReference.1',
        'Gap.1',
        'Marker.2',
        'RationalTime.1',
        'Stack.1',
        'TimeRange.1',
        'Timeline.1',
        'Track.1',
      ].sort(),
    )
    const fields: Record<string, string[]> = {
      'Timeline.1': ['metadata', 'name', 'global_start_time', 'tracks'],
      'Stack.1': ['metadata', 'name', 'source_range', 'effects', 'markers', 'enabled', 'children'],
      'Track.1': ['metadata', 'name', 'source_range', 'effects', 'markers', 'enabled', 'children', 'kind'],
      'Clip.2': [
        'metadata',
        'name',
        'source_range',
        'effects',
        'markers',
        'enabled',
        'media_references',
        'active_media_reference_key',
      ],
      'Gap.1': ['metadata', 'name', 'source_range', 'effects', 'markers', 'enabled'],
      'Marker.2': ['metadata', 'name', 'color', 'marked_range', 'comment'],
      'ExternalReference.1': ['metadata', 'name', 'available_range', 'available_image_bounds', 'target_url'],
      'TimeRange.1': ['duration', 'start_time'],
      'RationalTime.1': ['rate', 'value'],
    }
    for (const [schema, keys] of Object.entries(fields)) {
      expect([...(found.get(schema) ?? [])].sort(), schema).toEqual(keys.sort())
    }
  })

  it('D1: has the places of clip and marker to the sample, and times as floating-point numbers', () => {
    const written = text([clip()])
    const { global_start_time: start, tracks } = JSON.parse(written)
    expect(start.value).toBe(173_280_000)
    const [gap, one] = tracks.children[0].children
    expect(gap.source_range.duration.value).toBe(24_000)
    expect(one.source_range).toMatchObject({
      start_time: { value: 172_800_000 },
      duration: { value: 480_001 },
    })
    expect(one.media_references.DEFAULT_MEDIA.available_range.duration.value).toBe(480_001)
    expect(one.metadata.takeloft.gain_db).toBe(-3.5)
    expect(tracks.markers[0].marked_range).toMatchObject({
      start_time: { value: 96_001 },
      duration: { value: 48_000 },
    })
    expect(written.match(/"(rate|value)": \d+\.0,?$/gm)).toHaveLength(
      written.match(/RationalTime\.1/g)!.length * 2,
    )
    expect(JSON.parse(written).name).toBe('Night "Train"\n"rate": 5')
  })

  it('says that media is missing where it is not delivered', () => {
    const written = text([clip({ media: { url: null, sampleRateHz: 44_100, startFrame: 0, frames: 10 } })])
    expect(written).toContain('MissingReference.1')
    expect(written).not.toContain('target_url')
  })

  it('is the same text for the same session', () => {
    expect(text([clip()])).toBe(text([clip()]))
  })
})
