// The figures in their order, each by its id: F of the product, T the further targets of the analyses.

import { measureLoudness } from './figures/f01-loudness.ts'
import { measureTruePeak } from './figures/f02-true-peak.ts'
import { measureEqualiser } from './figures/f03-equaliser.ts'
import { measureDrive } from './figures/f04-drive.ts'
import { measureOpto } from './figures/f05-opto.ts'
import { measureDeEss } from './figures/f06-de-ess.ts'
import { measureCeiling } from './figures/f07-ceiling.ts'
import { measureConversion } from './figures/f08-conversion.ts'
import { measureDither } from './figures/f09-dither.ts'
import { measureNothingOn } from './figures/f10-nothing-on.ts'
import { measureCorrection } from './figures/f11-correction.ts'
import { measureStems } from './figures/f12-stems.ts'
import { measurePassages } from './figures/p4-passages.ts'
import { measurePhrases } from './figures/p01-phrases.ts'
import { measureRepairs } from './figures/p17-repairs.ts'
import { measureSongRows } from './figures/p29-song-rows.ts'
import { measureTakeCheck } from './figures/t1-take-check.ts'
import { measureVoice } from './figures/t2-voice.ts'
import { measureMicFit } from './figures/t3-mic-fit.ts'
import { measureStackCheck } from './figures/t4-stack-check.ts'
import type { Figure } from './rows.ts'

export const FIGURES: Readonly<Record<string, () => Figure | Promise<Figure>>> = {
  F1: measureLoudness,
  F2: measureTruePeak,
  F3: measureEqualiser,
  F4: measureDrive,
  F5: measureOpto,
  F6: measureDeEss,
  F7: measureCeiling,
  F8: measureConversion,
  F9: measureDither,
  F10: measureNothingOn,
  F11: measureCorrection,
  F12: measureStems,
  P1: measurePhrases,
  P4: measurePassages,
  P17: measureRepairs,
  P29: measureSongRows,
  T1: measureTakeCheck,
  T2: measureVoice,
  T3: measureMicFit,
  T4: measureStackCheck,
}
