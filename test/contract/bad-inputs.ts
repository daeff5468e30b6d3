// For every command an input that is right, and what makes it wrong.

import { defaultStages } from '../../app/contract/chain-document.ts'
import type { CommandName, InputOf } from '../../app/contract/wire/commands.ts'

/** Changes to the good input: paths with dots, and what stands there instead. */
export interface Inputs<C extends CommandName> {
  readonly good: InputOf<C>
  readonly bad: readonly [path: string, value: unknown][]
}

const NAN = Number.NaN
const stages = [defaultStages.trim, defaultStages.opto, defaultStages.ceiling]
const WINDOW = '8f14e45f-ceea-467f-a34b-2b1f6ad4f1aa'
const long = (letters: number): string => 'x'.repeat(letters)
const noId: readonly [string, unknown][] = [
  ['id', 0],
  ['id', -1],
  ['id', 1.5],
  ['id', '1'],
  ['id', NAN],
  ['id', null],
  ['id', 2 ** 53],
]
const session = {
  artistId: 1,
  songTitle: 'Seven Stairs',
  date: '2026-03-01',
  sampleRateHz: 48_000,
  tempoBpm: 92.5,
  beatsPerBar: 4,
  notes: '',
  panLaw: 'minus-3-db',
  startOfDayS: 3600,
  chainSharing: 'own',
} as const

const mark = { x: 10, y: 10, value: 100 }
const curve: InputOf<'createCurve'> = {
  micId: null,
  name: 'flat',
  source: 'traced picture',
  pattern: 'unknown',
  distanceM: null,
  note: '',
  points: { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 0, 0] },
  picture: {
    sha256: 'a'.repeat(64),
    fileName: 'plot.png',
    frequencyMarks: [mark, mark],
    levelMarks: [mark, mark],
  },
}

const delivery: InputOf<'previewDelivery'> = {
  sessionId: 1,
  sampleRateHz: null,
  encoding: 'pcm-24',
  template: '{part}',
  contents: { groups: true, layers: false, raw: true, aligned: true, reference: true },
  range: { kind: 'song' },
}

export const INPUTS: { readonly [C in CommandName]: Inputs<C> } = {
  readWorkplace: { good: {}, bad: [] },
  buildDemo: { good: {}, bad: [] },
  listBackgroundTasks: { good: {}, bad: [] },
  followBackgroundTask: { good: { id: 1 }, bad: noId },
  listArtists: { good: {}, bad: [] },
  findTakes: {
    good: { search: 'hook 02', artistId: 1, limit: 100, offset: 0 },
    bad: [
      ['search', long(1001)],
      ['search', undefined],
      ['artistId', 0],
      ['limit', 0],
      ['limit', 1001],
      ['offset', -1],
    ],
  },
  checkStack: {
    good: { sessionId: 1, range: { kind: 'frames', fromFrame: -48_000, toFrame: 120_000 } },
    bad: [
      ['sessionId', 0],
      ['range', undefined],
      ['range', { kind: 'bars' }],
      ['range.fromFrame', NAN],
      ['range.fromFrame', '1'],
      ['range.toFrame', Number.POSITIVE_INFINITY],
      ['range.toFrame', 3e12],
      ['range', { kind: 'section', sectionId: 0 }],
    ],
  },
  measureStack: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  addTakesToSession: {
    good: { sessionId: 1, takeIds: [1] },
    bad: [
      ['sessionId', 0],
      ['takeIds', ['1']],
      ['takeIds', Array.from({ length: 5001 }, () => 1)],
    ],
  },
  removeTakesFromSession: {
    good: { sessionId: 1, takeIds: [1] },
    bad: [
      ['sessionId', 0],
      ['takeIds', ['1']],
    ],
  },
  updateTakes: {
    good: { takes: [{ id: 1, voiceId: null, micId: 2, curveId: 3 }] },
    bad: [
      ['takes', [{ voiceId: 1 }]],
      ['takes', [{ id: 1, micId: 0 }]],
    ],
  },
  addLayers: {
    good: {
      sessionId: 1,
      groups: [{ name: 'Harmonies', chainVersionId: null, gainDb: 0 }],
      layers: [
        {
          group: { index: 0 },
          takeId: 1,
          name: 'low',
          role: 'harmony',
          offsetSamples: 0,
          gainDb: 0,
          pan: 0,
          muted: false,
        },
      ],
    },
    bad: [
      ['sessionId', 0],
      ['groups', [{ name: '' }]],
      ['layers', [{ group: 1 }]],
    ],
  },
  removeLayers: {
    good: { layerIds: [1], groupIds: [] },
    bad: [
      ['layerIds', [0]],
      ['groupIds', undefined],
    ],
  },
  createSong: {
    good: { artistId: 1, title: 'Paper Sky' },
    bad: [
      ['artistId', 0],
      ['title', ' '],
    ],
  },
  listPeopleAndSongs: { good: {}, bad: [] },
  renameEntity: {
    good: { kind: 'artist', id: 1, name: 'Maren Holt' },
    bad: [
      ['kind', 'session'],
      ['id', 0],
      ['name', ''],
      ['name', long(201)],
    ],
  },
  mergeEntities: {
    good: { kind: 'song', id: 1, intoId: 2 },
    bad: [
      ['kind', 'take'],
      ['id', 0],
      ['intoId', null],
    ],
  },
  removeEntity: {
    good: { kind: 'session', id: 1 },
    bad: [
      ['kind', 'take'],
      ['id', -1],
    ],
  },
  listEarlierSessions: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  listSessionChains: { good: {}, bad: [] },
  readBounceLevels: { good: { bounceId: 1 }, bad: [['bounceId', 0]] },
  measureBounce: { good: { bounceId: 1 }, bad: [['bounceId', 0]] },
  revertEntityChange: { good: { changeId: 1 }, bad: [['changeId', 0]] },
  listMics: { good: {}, bad: [] },
  listSessions: { good: {}, bad: [] },
  createArtist: {
    good: { name: 'Maren Holt', note: '' },
    bad: [
      ['name', ''],
      ['name', '  \t'],
      ['name', long(201)],
      ['name', undefined],
      ['name', 'Maren\0Holt'],
      ['name', 'Maren\udc00Holt'],
      ['note', long(10_001)],
      ['note', null],
    ],
  },
  listVoices: { good: { artistId: 1 }, bad: [['artistId', 0]] },
  createVoice: {
    good: { artistId: 1, name: 'chest', note: '' },
    bad: [
      ['artistId', 0],
      ['name', ''],
      ['note', 3],
    ],
  },
  createMic: {
    good: { name: 'Invented 1', serial: '', pattern: 'cardioid', note: '' },
    bad: [
      ['pattern', 'sideways'],
      ['serial', long(101)],
      ['serial', '\0'],
      ['name', ' '],
      ['id', 0],
    ],
  },
  updateMic: {
    good: { id: 1, changes: { name: 'Invented 2' } },
    bad: [...noId, ['changes.pattern', 'wide']],
  },
  removeMic: { good: { id: 1 }, bad: noId },
  listCurves: { good: { micId: 1 }, bad: [['micId', '1']] },
  importCurve: {
    good: {
      micId: null,
      name: 'flat',
      source: 'invented',
      pattern: 'omni',
      distanceM: 0.3,
      note: '',
      text: '20,0\n1000,0\n20000,0\n',
    },
    bad: [
      ['text', ''],
      ['source', 'hearsay'],
      ['distanceM', 0],
      ['distanceM', 101],
      ['distanceM', NAN],
      ['micId', undefined],
    ],
  },
  createCurve: {
    good: curve,
    bad: [
      ['id', 0],
      ['pattern', 'round'],
      ['points.frequenciesHz.1', 20],
      ['points.frequenciesHz.0', -20],
      ['points.levelsDb.1', NAN],
      ['points.levelsDb', [0, 0]],
      ['picture', undefined],
      ['picture.sha256', 'abc'],
      ['picture.fileName', 'plot\0.png'],
      ['picture.frequencyMarks.0.x', -1],
      ['picture.frequencyMarks', []],
    ],
  },
  updateCurve: {
    good: { id: 1, changes: { name: 'On axis' } },
    bad: [...noId, ['changes.name', ' '], ['changes.points', { frequenciesHz: [], levelsDb: [] }]],
  },
  removeCurve: { good: { id: 1 }, bad: noId },
  exportCurve: { good: { id: 1 }, bad: noId },
  subtractCurves: {
    good: { curveId: 1, subtractedCurveId: 2 },
    bad: [
      ['curveId', 0],
      ['subtractedCurveId', null],
    ],
  },
  fitMicCorrection: {
    good: { curveId: 1, aims: defaultStages['mic-correction'].settings, sampleRateHz: 48_000 },
    bad: [
      ['aims.amountPercent', 101],
      ['aims.maxBands', 0],
      ['aims.maxBoostDb', 13],
      ['aims.fromHz', 10],
      ['aims.proximity', { frequencyHz: 20, gainDb: 0, q: 0.5 }],
      ['sampleRateHz', 0],
    ],
  },
  proposeProximity: {
    good: { pattern: 'cardioid', curveDistanceM: 0.3, voiceDistanceM: 0.1 },
    bad: [
      ['curveDistanceM', 0],
      ['voiceDistanceM', 101],
      ['pattern', ''],
    ],
  },
  planCarry: {
    good: {
      chainVersionId: 1,
      fromCurveId: 1,
      toCurveId: 2,
      aim: null,
      limits: { maxBoostDb: 6 },
      sampleRateHz: 48_000,
    },
    bad: [
      ['chainVersionId', 0],
      ['aim', 'louder'],
      ['limits.maxBands', 13],
      ['limits.maxBoostDb', -1],
      ['sampleRateHz', 1.5],
    ],
  },
  listSongs: { good: {}, bad: [['artistId', 1.2]] },
  createSession: {
    good: session,
    bad: [
      ['songTitle', ' '],
      ['songTitle', 'Seven\0Stairs'],
      ['date', '01.03.2026'],
      ['date', '2026-02-30'],
      ['sampleRateHz', 47_999],
      ['sampleRateHz', '48000'],
      ['tempoBpm', 0],
      ['tempoBpm', 401],
      ['beatsPerBar', 0],
      ['beatsPerBar', 17],
      ['beatsPerBar', 3.5],
      ['beatUnit', 3],
      ['tempoChanges', [{ bar: 1, tempoBpm: 90, beatsPerBar: 4, beatUnit: 4 }]],
      ['tempoChanges', [5, 5].map((bar) => ({ bar, tempoBpm: 90, beatsPerBar: 4, beatUnit: 4 }))],
      ['panLaw', 'minus-2-db'],
      ['startOfDayS', 86_400],
      ['startOfDayS', -1],
      ['chainSharing', 'both'],
      ['artistId', 0],
    ],
  },
  updateSession: {
    good: { id: 1, changes: { tempoBpm: null } },
    bad: [
      ...noId,
      ['changes', null],
      ['changes.tempoBpm', 19],
      ['changes.beatsPerBar', null],
      ['changes.date', '2026-3-1'],
    ],
  },
  openSession: { good: { id: 1 }, bad: noId },
  bindUploadToPage: { good: { path: '/incoming/a/a.wav' }, bad: [['path', '']] },
  discardUploads: {
    good: { paths: ['/incoming/a/a.wav'] },
    bad: [
      ['paths', null],
      ['paths.0', '\0'],
    ],
  },
  importTakes: {
    good: { sessionId: 1, files: [{ path: '/takes/a.wav' }], voiceId: null, micId: null, curveId: null },
    bad: [
      ['files', []],
      ['files', Array.from({ length: 1001 }, () => ({ path: '/a' }))],
      ['files.0.path', ''],
      ['files.0.path', long(4097)],
      ['files.0.name', long(301)],
      ['files.0.path', '/takes/\0.wav'],
      ['files.0.path', '/takes/\ud83d.wav'],
      ['files.0.name', 'a\0.wav'],
      ['voiceId', undefined],
      ['sessionId', 0],
    ],
  },
  updateTake: {
    good: { id: 1, changes: { name: 'lead, second try' } },
    bad: [
      ...noId,
      ['changes.name', ''],
      ['changes.name', '\0'],
      ['changes.micId', 0],
      ['changes', undefined],
    ],
  },
  listMissingTakes: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  archiveSession: {
    good: { sessionId: 1, folder: '/archives' },
    bad: [
      ['sessionId', 0],
      ['folder', ''],
    ],
  },
  restoreArchive: {
    good: { bag: '/archives/one', takesFolder: '/takes' },
    bad: [
      ['bag', ''],
      ['takesFolder', ''],
    ],
  },
  findTakeCopies: { good: { takeId: 1 }, bad: [['takeId', 0]] },
  searchMissingTakes: {
    good: { sessionId: 1, folder: '/disk' },
    bad: [
      ['sessionId', 0],
      ['folder', ''],
      ['folder', '\0'],
      ['folder', long(4097)],
    ],
  },
  relinkTakes: {
    good: { takes: [{ id: 1, path: '/disk/a.wav' }] },
    bad: [
      ['takes', null],
      ['takes.0.id', 0],
      ['takes.0.path', ''],
      ['takes.0.path', '\0'],
    ],
  },
  restoreTakePlaces: {
    good: { takes: [{ id: 1, path: 'a.wav', copies: ['/stick/a.wav'] }] },
    bad: [
      ['takes', null],
      ['takes.0.id', 0],
      ['takes.0.path', ''],
      ['takes.0.copies.0', '\0'],
    ],
  },
  createGroup: {
    good: { sessionId: 1, name: 'Lead', chainVersionId: null, gainDb: 0 },
    bad: [
      ['gainDb', 12.1],
      ['gainDb', -60.1],
      ['gainDb', NAN],
      ['gainDb', Number.POSITIVE_INFINITY],
      ['name', ''],
    ],
  },
  updateGroup: { good: { id: 1, changes: { gainDb: -3 } }, bad: [...noId, ['changes.gainDb', 13]] },
  removeGroup: { good: { id: 1 }, bad: noId },
  addLayer: {
    good: {
      sessionId: 1,
      groupId: 1,
      takeId: 1,
      name: 'double left',
      role: 'double',
      offsetSamples: -480,
      gainDb: 0,
      pan: -1,
      muted: false,
    },
    bad: [
      ['pan', 1.01],
      ['pan', NAN],
      ['gainDb', 24.5],
      ['offsetSamples', 0.5],
      ['offsetSamples', 3e9],
      ['role', 'choir'],
      ['muted', 'no'],
      ['takeId', null],
    ],
  },
  updateLayer: {
    good: { id: 1, changes: { pan: 0.5 } },
    bad: [...noId, ['changes.pan', -2], ['changes.offsetSamples', 0.1], ['changes.muted', 1]],
  },
  updateLayers: {
    good: { layers: [{ id: 1, changes: { pan: 0.5 } }] },
    bad: [
      ['layers', [{ id: 0, changes: {} }]],
      ['layers', [{ id: 1, changes: { pan: -2 } }]],
      ['layers', [{ id: 1, changes: { muted: 1 } }]],
    ],
  },
  removeLayer: { good: { id: 1 }, bad: noId },
  addSection: {
    good: { sessionId: 1, name: 'Hook', startSamples: -480, lengthSamples: 96_000, note: '' },
    bad: [
      ['sessionId', 0],
      ['name', ''],
      ['name', ' \u200B'],
      ['name', long(201)],
      ['startSamples', 0.5],
      ['startSamples', 3e9],
      ['lengthSamples', -1],
      ['lengthSamples', NAN],
      ['note', long(10_001)],
      ['id', 0],
    ],
  },
  updateSection: {
    good: { id: 1, changes: { name: 'Hook 2' } },
    bad: [...noId, ['changes.name', ''], ['changes.lengthSamples', -1], ['changes.startSamples', 0.1]],
  },
  removeSection: { good: { id: 1 }, bad: noId },
  listFileMarkers: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  listChains: { good: {}, bad: [['voiceId', -3]] },
  listChainVersions: { good: { chainId: 1 }, bad: [['chainId', undefined]] },
  saveChain: {
    good: { voiceId: 1, chainId: null, name: 'main', stages, note: '' },
    bad: [
      ['name', ''],
      ['name', 'main\0'],
      ['chainId', undefined],
      ['newestId', 0],
      ['stages', null],
      ['stages', Array.from({ length: 25 }, () => defaultStages.tone)],
      ['stages', [defaultStages.ceiling, defaultStages.trim]],
      ['stages.0.kind', 'reverb'],
      ['stages.0.on', 'yes'],
      ['stages.0.settings.gainDb', 37],
      ['stages.0.settings.gainDb', NAN],
      ['stages.0.settings.invertPolarity', undefined],
      ['stages.0.settings.gainDbs', 0],
      ['stages.1.settings.ratio', 0.5],
      ['stages.1.settings.attackMs', 0],
      ['stages.2.settings.ceilingDbtp', 0.1],
      ['note', long(10_001)],
    ],
  },
  listChainDrafts: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  keepChainDraft: {
    good: { sessionId: 1, groupId: null, known: null, baseVersionId: null, stages, writer: WINDOW },
    bad: [
      ['sessionId', undefined],
      ['groupId', 0],
      ['known', 'last'],
      ['baseVersionId', undefined],
      ['stages.0.kind', 'reverb'],
      ['writer', ''],
    ],
  },
  measureGroup: {
    good: { groupId: 1, stages },
    bad: [
      ['groupId', 0],
      ['stages.2.settings.lookAheadMs', 1],
    ],
  },
  measureChain: {
    good: { takeId: 1, stages },
    bad: [
      ['takeId', 0],
      ['stages.2.settings.lookAheadMs', 1],
    ],
  },
  measureChainPart: {
    good: { takeId: 1, stages, fromSeconds: 2, toSeconds: 17 },
    bad: [
      ['takeId', 0],
      ['stages.2.settings.lookAheadMs', 1],
      ['fromSeconds', -1],
      ['fromSeconds', 17],
      ['toSeconds', NAN],
    ],
  },
  matchDrive: {
    good: { takeId: 1, stages, stageIndex: 1 },
    bad: [
      ['takeId', 0],
      ['stageIndex', -1],
      ['stageIndex', 24],
      ['stageIndex', 0.5],
      ['stages.2.settings.lookAheadMs', 1],
    ],
  },
  chainResponse: {
    good: { takeId: null, stages, sampleRateHz: 48_000, frequenciesHz: [100, 1000] },
    bad: [
      ['frequenciesHz', [0]],
      ['frequenciesHz', Array.from({ length: 4001 }, () => 100)],
      ['sampleRateHz', 0],
      ['sampleRateHz', 48_000.5],
    ],
  },
  analyseVoice: {
    good: { takeId: 1 },
    bad: [
      ['takeId', 0],
      ['takeId', '1'],
      ['takeId', undefined],
    ],
  },
  runSoundcheck: {
    good: { takeId: 1 },
    bad: [
      ['takeId', 0],
      ['takeId', null],
    ],
  },
  openPlayback: {
    good: {
      target: { kind: 'take', takeId: 1, sampleRateHz: 48_000 },
      draft: null,
      compare: null,
      lowerDb: 6,
      solo: [3],
      tried: null,
    },
    bad: [
      ['target.kind', 'song'],
      ['target.takeId', undefined],
      ['target.sampleRateHz', -1],
      ['draft', undefined],
      ['draft', { groupId: null, stages: 'none' }],
      ['lowerDb', -1],
      ['lowerDb', Number.POSITIVE_INFINITY],
      ['solo', [0.5]],
    ],
  },
  tunePlayback: {
    good: {
      playbackId: 'a',
      source: {
        target: { kind: 'group', groupId: 2 },
        draft: { groupId: 2, stages },
        compare: { fromStage: 1, toStage: 2 },
        lowerDb: 0,
        solo: null,
        tried: [{ layerId: 3, changes: { gainDb: -3, muted: true } }],
      },
    },
    bad: [
      ['source.tried.0.layerId', 0],
      ['source.tried.0.changes.gainDb', 999],
      ['source.tried.0.changes.muted', 'yes'],
      ['playbackId', 1],
      ['source.target.groupId', 0],
      ['source.draft.groupId', 0.5],
      ['source.compare.fromStage', -1],
      ['source.compare.toStage', undefined],
    ],
  },
  matchPlayback: {
    good: { playbackId: 'a', fromFrame: -10, toFrame: 48_000, maxSeconds: 8 },
    bad: [
      ['fromFrame', 0.5],
      ['toFrame', '48000'],
      ['maxSeconds', 0],
      ['maxSeconds', NAN],
    ],
  },
  closePlayback: { good: { playbackId: 'a' }, bad: [['playbackId', null]] },
  bounceSession: {
    good: { sessionId: 1, folder: '/out', encoding: 'pcm-24', layerStems: true },
    bad: [
      ['folder', ''],
      ['folder', '/out/\0'],
      ['folder', '/out/\ud800'],
      ['encoding', 'pcm-16'],
      ['layerStems', 'all'],
      ['sessionId', 0],
    ],
  },
  previewDelivery: {
    good: {
      ...delivery,
      template: '{song}_{part}',
      range: { kind: 'frames', fromFrame: 0, toFrame: 48_000 },
    },
    bad: [
      ['sessionId', 0],
      ['template', '{voice}'],
      ['template', ''],
      ['template', '{song'],
      ['template', long(201)],
      ['range', { kind: 'frames', fromFrame: 5, toFrame: 5 }],
      ['range', { kind: 'section', sectionId: 0 }],
      ['encoding', 'pcm-32'],
      ['sampleRateHz', 22_050],
    ],
  },
  deliver: {
    good: { ...delivery, folder: '/out', encoding: 'pcm-16', sampleRateHz: 44_100 },
    bad: [
      ['folder', ''],
      ['folder', '/out/\0'],
      ['folder', '/out/\ud800'],
      ['contents', { groups: false, layers: false, raw: false, aligned: false, reference: false }],
    ],
  },
  listDeliveries: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  exportVoice: {
    good: { voiceId: 1, path: '/out/voice.zip' },
    bad: [
      ['voiceId', 0],
      ['path', ''],
      ['path', '/out/\0'],
    ],
  },
  previewVoice: {
    good: { path: '/in/voice.zip' },
    bad: [
      ['path', ''],
      ['answers', {}],
    ],
  },
  importVoice: {
    good: {
      path: '/in/voice.zip',
      answers: [{ artist: '017f22e2-79b0-7cc3-98c4-dc0c0c07398f', same: null }],
    },
    bad: [
      ['path', '/in/\ud800'],
      ['answers.0.artist', '017F22E2'],
      ['answers.0.same', 0],
      ['answers.0.same', undefined],
    ],
  },
  listOtherSettings: { good: { sessionId: 1 }, bad: [['sessionId', 0]] },
  takeOtherSettings: {
    good: { sessionId: 1, at: '2026-10-01T12:00:00.000Z', machine: '017f22e2-79b0-7cc3-98c4-dc0c0c07398f' },
    bad: [
      ['sessionId', '1'],
      ['at', 'yesterday'],
      ['machine', 'x'.repeat(37)],
    ],
  },
  returnToSettings: {
    good: {
      sessionId: 1,
      former: { at: '2026-10-01T12:00:00.000Z', machine: '', parents: [], own: null },
    },
    bad: [
      ['sessionId', 1.5],
      ['former.at', ''],
      ['former.parents', null],
      ['former.own', 'x'],
    ],
  },
  verifyBounce: {
    good: { manifestPath: '/out/manifest.json' },
    bad: [
      ['manifestPath', ''],
      ['manifestPath', '/out\0/manifest.json'],
    ],
  },
  readVoiceBook: {
    good: { voiceId: 1 },
    bad: [
      ['voiceId', 0],
      ['voiceId', null],
      ['voiceId', '1'],
    ],
  },
  pinChainVersion: {
    good: { id: 1, isPinned: true },
    bad: [...noId, ['isPinned', 1], ['isPinned', undefined]],
  },
  searchEverything: {
    good: { search: 'air', limit: 20 },
    bad: [
      ['search', long(1001)],
      ['search', null],
      ['limit', 0],
      ['limit', 1e9],
    ],
  },
  listBounces: {
    good: { artistId: 1 },
    bad: [
      ['artistId', 0],
      ['sessionId', 0],
      // A session or an artist, not both.
      ['sessionId', 1],
    ],
  },
  listLedger: {
    good: { limit: 100 },
    bad: [
      ['limit', 0],
      ['limit', 10_001],
      ['limit', undefined],
      ['artistId', 0],
    ],
  },
}
