// The files of a delivery on the recall sheet: levels, and how they add up.

import type { DeliveredFile } from '../../../contract/delivery/delivery-manifest.ts'
import type { SheetSection } from '../../../formats/sheet/sheet-page.ts'
import { formatLevel } from '../../../words/format.ts'
import { PAN_LAW_WORDS } from '../../../words/pan-law.ts'
import type { PlannedDelivery } from '../plan-delivery.ts'

const DEPTHS: Readonly<Record<string, string>> = {
  'pcm-16': '16-bit',
  'pcm-24': '24-bit',
  'float-32': '32-bit float',
}

/** @param remarks as in the manifest */
export function fileSection(
  { described, contents, request }: PlannedDelivery,
  files: readonly DeliveredFile[],
  remarks: readonly string[],
): SheetSection {
  const law = PAN_LAW_WORDS[contents.session.panLaw]
  return {
    title: 'Files and levels',
    blocks: [
      {
        kind: 'table',
        head: ['File', 'What', 'Format', 'Loudness', 'Range', 'True peak', 'Sample peak'],
        figures: [3, 4, 5, 6],
        names: [0],
        rows: files.map((file) =>
          'encoding' in file
            ? [
                file.path,
                file.name,
                `${DEPTHS[file.encoding]}, ${file.channels === 1 ? 'mono' : 'stereo'}`,
                formatLevel(file.integratedLufs, 'LUFS'),
                formatLevel(file.loudnessRangeLu, 'LU'),
                formatLevel(file.truePeakDbtp, 'dBTP'),
                formatLevel(file.samplePeakDbfs, 'dBFS'),
              ]
            : [file.path, 'name' in file ? file.name : '', 'as recorded', '', '', '', ''],
        ),
      },
      { kind: 'heading', text: 'How they add up' },
      {
        kind: 'list',
        items: [
          `All rendered files begin at the same sample and have ${files.find((file) => 'frames' in file)?.frames ?? 0} samples at ${described.sampleRateHz} Hz; time stamp ${described.timeReferenceSamples} samples since midnight.`,
          ...(request.contents.groups
            ? [
                'The stems of the groups, added at unity gain, are the stack as heard, which is the reference.',
              ]
            : []),
          ...(request.contents.layers
            ? [
                `The stem of a layer has its gain and that of its group, but no pan: mono ones, panned as in the table of layers by a law of ${law} at the centre and added, give the stem of their group.`,
              ]
            : []),
          ...(request.contents.aligned
            ? [
                'Aligned takes are unprocessed: no gain, no pan, no chain, no trim. Each begins with the others.',
              ]
            : []),
          'Markers and tempo are in 04_Session; nearly every multitrack program places a WAV file at its time stamp or at zero, and takes tempo and markers from the MIDI file.',
        ],
      },
      { kind: 'heading', text: 'To build the session again' },
      {
        kind: 'list',
        isNumbered: true,
        items: [
          'Make a session of the rate, tempo, pan law, start and sharing of chains that stand under Session, and its mics with the curves that are printed.',
          'Import the takes; their names, voices and mics are in the table of takes. The beginning of the SHA-256 tells that a file is the one.',
          'Make the groups in their order, place the layers, and save each chain with the stages as they are listed.',
          'Bounce. In 32-bit float every sample is that of this delivery. Files of 16 and 24 bits have other dither, as it depends on the catalogue; what differs then is noise of the last bits.',
        ],
      },
      ...(remarks.length === 0
        ? []
        : [
            { kind: 'heading' as const, text: 'Remarks' },
            { kind: 'list' as const, items: remarks },
          ]),
    ],
  }
}
