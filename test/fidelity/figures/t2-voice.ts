// Measures the voice analysis against its targets, on generated voices, published
// figures of speech, and noise of known levels.

import type { Figure } from '../rows.ts'
import { formantRows } from './voice/formant-rows.ts'
import { pitchRows } from './voice/pitch-rows.ts'
import { proposalRows } from './voice/proposal-rows.ts'
import { sibilanceRows } from './voice/sibilance-rows.ts'
import { spectrumRows } from './voice/spectrum-rows.ts'
import { voicePlots } from './voice/voice-plots.ts'

export function measureVoice(): Figure {
  return {
    id: 'T2',
    title: 'Voice',
    plots: voicePlots(),
    rows: [...spectrumRows(), ...pitchRows(), ...sibilanceRows(), ...formantRows(), ...proposalRows()],
  }
}
