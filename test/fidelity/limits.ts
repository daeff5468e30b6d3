// What the program has promised, figure by figure: the product's own table of figures that
// the sound must reach. Limits of published standards are read from reference/*.csv instead.

import { type Limit, limitOf } from './rows.ts'

const promise = (figure: string): string => `figure ${figure} of the product`
const target = (figure: string): string => `target beside figure ${figure}, ours`

const atMost = (high: number, unit: string, digits: number, source: string): Limit =>
  limitOf({ high }, unit, digits, source)
const around = (reach: number, unit: string, digits: number, source: string): Limit =>
  limitOf({ low: -reach, high: reach }, unit, digits, source)

export const LIMITS = {
  loudnessAgainstOthersLu: around(0.1, 'LU', 3, promise('F1')),
  truePeakAgainstOthersDb: limitOf({ low: -0.4, high: 0.2 }, 'dB', 3, `${promise('F2')}; Tech 3341`),

  sectionsTo8kHzDb: atMost(0.1, 'dB', 4, promise('F3')),
  sectionsTo12kHzDb: atMost(0.3, 'dB', 4, promise('F3')),
  sectionsTo20kHzDb: atMost(0.5, 'dB', 4, promise('F3')),
  drawnAgainstMeasuredDb: atMost(0.01, 'dB', 5, promise('F3')),
  motionOverStatic: atMost(2, 'x', 3, 'target beside figure F3: never above twice the static maximum'),

  nonHarmonicDb: atMost(-100, 'dB', 1, promise('F4')),
  nonHarmonicTo15kHzDb: atMost(-90, 'dB', 1, promise('F4')),
  nonHarmonicBeyondDb: atMost(-100, 'dB', 1, 'beyond figure F4; ours'),
  driveDcDbfs: atMost(-90, 'dBFS', 1, target('F4')),
  driveLoudnessLu: around(0.1, 'LU', 3, promise('F4')),
  driveLoudnessBeyondLu: around(0.2, 'LU', 3, 'beyond figure F4; ours'),
  harmonicsDb: atMost(0.5, 'dB', 4, target('F4')),
  combDb: atMost(-120, 'dB', 1, target('F4')),

  edgeDb: atMost(-55, 'dB', 1, promise('P4')),
  fadePowerDb: around(0.3, 'dB', 3, promise('P5')),

  rowsDb: around(0.001, 'dB', 6, promise('P29')),
  rangeDb: around(0.01, 'dB', 5, promise('P29')),
  laneNullDb: atMost(-90, 'dB', 1, 'target beside figure P29, ours'),
  shownEarlyOrLateMs: around(40, 'ms', 1, `${promise('P28')}; ITU-R BT.1359-1`),

  staticCurveDb: atMost(0.1, 'dB', 4, `${promise('F5')}; JAES 60(6) eq. 4`),
  optoPastCurveDb: atMost(0.5, 'dB', 3, `${promise('F5')}; JAES 60(6) eq. 4`),
  thumpDb: atMost(1.5, 'dB', 2, 'target beside figure F5: about the A weighting of IEC 61672-1'),
  fundamentalLessDb: limitOf({ low: -0.5, high: 7.5 }, 'dB', 2, 'ours: below 100 Hz is a thump'),
  pauseKeptDb: limitOf({ low: 11 }, 'dB', 2, 'ours, of a range of 12 dB'),
  wordLossDb: atMost(2, 'dB', 2, 'ours'),
  optoTimesPercent: around(5, '%', 2, promise('F5')),
  halfReleaseMs: limitOf({ low: 50, high: 200 }, 'ms', 0, target('F5')),
  shortReleaseSeconds: limitOf({ low: 0.4, high: 1.5 }, 's', 2, target('F5')),
  longReleaseSeconds: limitOf({ low: 0.5, high: 5 }, 's', 2, promise('F5')),
  memoryRatio: limitOf({ low: 2.5 }, 'x', 2, target('F5')),
  optoThdPercent: atMost(0.3, '%', 4, target('F5')),

  askedForPercent: around(10, '%', 2, target('F6')),
  speechTakenDb: limitOf({ low: 3 }, 'dB', 2, target('F6: most of the 6 dB asked for')),
  softTakenLessDb: limitOf({ low: 2 }, 'dB', 2, promise('F6')),
  hotTakenPercent: limitOf({ low: -15, high: 10 }, '%', 1, target('F6: hot cut-out fricatives')),
  untouchedNullDb: atMost(-80, 'dB', 1, promise('F6')),
  levelIndependenceDb: around(0.2, 'dB', 4, target('F6')),

  sampleCeiling: atMost(0, 'dB over', 9, promise('F7')),
  voiceTruePeakDb: atMost(0.1, 'dB over', 3, promise('F7')),
  anyTruePeakDb: atMost(0.3, 'dB over', 3, promise('F7')),

  converterRippleDb: atMost(0.01, 'dB', 6, promise('F8')),
  converterSpuriousDb: atMost(-120, 'dB', 1, promise('F8')),

  ditherPowerDb: around(0.2, 'dB', 3, `${promise('F9')}; LSB²/4, JAES 40(5)`),
  /** Chance that honest noise passes it in one reading: 1 in 1.7 million. */
  ditherCorrelation: atMost(5, 'σ', 2, `${promise('F9')}; five standard errors`),
  ditherShape: atMost(5, 'σ', 2, 'TPDF and rounding, JAES 40(5); five standard errors'),
  ditherFlatnessDb: atMost(0.5, 'dB', 3, target('F9: white')),

  differingSamples: atMost(0, 'samples', 0, 'bit by bit'),

  correctionRmsDb: atMost(0.5, 'dB', 3, promise('F11')),
  correctionBoostDb: atMost(0.1, 'dB', 3, `${promise('F11')}: bound and what a fit may ripple`),

  stemsNullDb: atMost(-90, 'dB', 1, promise('F12')),
} as const
