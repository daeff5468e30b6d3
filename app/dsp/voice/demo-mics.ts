// Two invented microphones for the demo and the tests: curves drawn by hand in the style of a condenser
// and of a broadcast dynamic, not measured on any real one.
import type { Curve } from '../correction/curve.ts'

/** A microphone and its on-axis curve, both made up. */
export interface DemoMic {
  readonly name: string
  readonly note: string
  readonly curve: Curve
}

const THIRD_OCTAVES_HZ = [
  20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000,
  2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
]

/** Flat to 2 kHz, then a broad lift of 5 dB at 10 kHz. */
export const DEMO_CONDENSER: DemoMic = {
  name: 'Ostrevane C2 (invented)',
  note: 'Invented for the demo: no such microphone exists and this curve was never measured.',
  curve: {
    frequenciesHz: THIRD_OCTAVES_HZ,
    levelsDb: [
      -4.5, -3, -1.8, -1, -0.5, -0.2, 0, 0.1, 0.1, 0, -0.1, -0.2, -0.3, -0.3, -0.3, -0.2, 0, 0, 0.2, 0.3, 0.3,
      0.5, 1.1, 1.9, 2.7, 3.4, 4.2, 5, 4.6, 2, -2.5,
    ],
  },
}

/** Little below 50 Hz, a presence peak at 4 kHz, and no air. */
export const DEMO_DYNAMIC: DemoMic = {
  name: 'Brackenholt D5 (invented)',
  note: 'Invented for the demo: no such microphone exists and this curve was never measured.',
  curve: {
    frequenciesHz: THIRD_OCTAVES_HZ,
    levelsDb: [
      -16, -12, -8.5, -5.5, -3.2, -1.6, -0.4, 0.4, 0.9, 1.1, 1, 0.7, 0.3, -0.2, -0.6, -0.6, -0.3, 0, 0.5, 1.1,
      1.9, 2.8, 3.5, 3.6, 2.8, 1.5, 0.4, -1.2, -4.5, -9.5, -17,
    ],
  },
}
