// The documents of a delivery beside its sheet: markers for other programs, the edit list, and a README.

import type { DeliveredFile } from '../../contract/delivery/delivery-manifest.ts'
import { convertedFrames } from '../../dsp/conversion/rate-conversion.ts'
import { markerTable } from '../../formats/markers/marker-table.ts'
import { midiFile } from '../../formats/markers/midi-file.ts'
import { type ClipMedia, type TimelineClip, timelineFile } from '../../formats/timeline/timeline-file.ts'
import { hasTempo, timeBaseOf } from '../../words/bars/bar-words.ts'
import { fileMarkers } from './delivered-stem.ts'
import { FOLDERS } from './delivery-names.ts'
import type { PlannedDelivery } from './plan-delivery.ts'

/** CSV of the markers, by sample of the delivered files. */
export const markersAsTable = ({ described }: PlannedDelivery): string =>
  markerTable(fileMarkers(described, described.sampleRateHz), described.sampleRateHz)

/** Standard MIDI File with the tempo map, from the first sample of the delivered files. */
export function markersAsMidi({ described, contents }: PlannedDelivery): Buffer {
  const base = timeBaseOf(contents.session)
  return midiFile(
    hasTempo(base) ? base : null,
    described.span.startFrame,
    fileMarkers(described, described.sampleRateHz),
    described.sampleRateHz,
  )
}

/**
 * The edit list: a track for each layer, its take at its place. It points to the takes themselves where they are
 * delivered, else to the aligned files; else the media is missing.
 */
export function editList(planned: PlannedDelivery, files: readonly DeliveredFile[]): string {
  const { described, contents, raw } = planned
  const { plan, span, sampleRateHz } = described
  const url = (path: string): string => `../${path}`
  const clips = plan.layers.flatMap((layer): { name: string; clips: TimelineClip[] }[] => {
    const rate = plan.sampleRateHz
    const from = Math.max(layer.offsetSamples, span.startFrame)
    const length = convertedFrames(layer.take.frames, layer.take.sampleRateHz, rate)
    const to = Math.min(layer.offsetSamples + length, span.startFrame + span.frames)
    if (to <= from) return []
    const take = contents.takes.find(({ sha256 }) => sha256 === layer.take.sha256)
    const group = plan.groups.find(({ id }) => id === layer.groupId)
    const original = raw.find((one) => one.take.sha256 === layer.take.sha256)
    const aligned = files.find((file) => file.kind === 'aligned' && file.sourceId === layer.id)
    const isAligned = original === undefined && aligned?.kind === 'aligned'
    const media: ClipMedia = isAligned
      ? {
          url: url(aligned.path),
          sampleRateHz,
          startFrame: described.timeReferenceSamples,
          frames: aligned.frames,
        }
      : {
          url: original === undefined ? null : url(original.path),
          sampleRateHz: layer.take.sampleRateHz,
          startFrame: take?.timeReferenceSamples ?? 0,
          frames: layer.take.frames,
        }
    const atMedia = (frames: number): number => Math.round((frames * media.sampleRateHz) / rate)
    const clip: TimelineClip = {
      name: layer.name,
      startFrame: Math.round(((from - span.startFrame) * sampleRateHz) / rate),
      fromFrame: atMedia(isAligned ? from - span.startFrame : from - layer.offsetSamples),
      frames: atMedia(to - from),
      media,
      metadata: {
        group: group?.name ?? '',
        role: layer.role,
        gain_db: layer.gainDb,
        pan: layer.pan,
        ...(layer.polarityInverted ? { polarity: 'inverted' } : {}),
        offset_samples: layer.offsetSamples,
        take: take?.name ?? '',
        take_sha256: layer.take.sha256,
      },
    }
    return [{ name: `${group?.name} ${layer.name}`, clips: [clip] }]
  })
  return timelineFile({
    name: described.song,
    sampleRateHz,
    timeReferenceSamples: described.timeReferenceSamples,
    tracks: clips,
    markers: fileMarkers(described, sampleRateHz),
    metadata: {
      artist: described.artist,
      session_date: described.sessionDate,
      delivery: planned.number,
      program: `${described.program.name} ${described.program.version}`,
    },
  })
}

/** What is in the folder and how to use it, for somebody who has never seen this program. */
export function readme(planned: PlannedDelivery, files: readonly DeliveredFile[]): string {
  const { described, number, contents } = planned
  const { session } = contents
  const has = (folder: string): boolean => files.some(({ path }) => path.startsWith(`${folder}/`))
  const lines = [
    `${described.artist}: ${described.song}`,
    `Session of ${described.sessionDate}, delivery ${number}${described.span.name === '' ? '' : `, ${described.span.name}`}`,
    '',
    'Import',
    `  All rendered WAV files begin at the same sample and are equally long, at ${described.sampleRateHz} Hz.`,
    `  Put them all at one place: at their time stamp (${described.timeReferenceSamples} samples since midnight), or at`,
    '  the start of the song.',
    session.tempoBpm === null
      ? '  The tempo is not known; the MIDI file says 120, which only places the markers.'
      : `  Import ${FOLDERS.session}/markers.mid at the same place for tempo, metre and markers.`,
    '  The WAV files contain the markers too; programs that do not read those may read markers.csv.',
    '',
    'Folders',
    ...(has(FOLDERS.processed)
      ? [`  ${FOLDERS.processed}/   processed stems; the group stems add up to the reference`]
      : []),
    ...(has(FOLDERS.raw) ? [`  ${FOLDERS.raw}/       the takes, byte for byte as they were recorded`] : []),
    ...(has(FOLDERS.aligned)
      ? [`  ${FOLDERS.aligned}/   the takes at their places, without processing, gain or pan`]
      : []),
    ...(has(FOLDERS.reference)
      ? [`  ${FOLDERS.reference}/   the stack as it was heard, without a limiter of its own`]
      : []),
    `  ${FOLDERS.session}/     markers, edit list (OpenTimelineIO), recall sheet (${planned.printsPdf ? 'recall.pdf for paper, recall.html for the screen' : 'open recall.html, print it'})`,
    '',
    'Check',
    '  In this folder: sha256sum -c manifest-sha256.txt   (macOS: shasum -a 256 -c manifest-sha256.txt)',
    `  With Takeloft: takeloft verify manifest.json renders the stems again and compares every byte.`,
    '',
    `Made by ${described.program.name} ${described.program.version}. True names of all files are in manifest.json and in the WAV files.`,
  ]
  return `${lines.join('\n')}\n`
}
