// A vowel by the textbook: harmonics that fall 12 dB per octave under the resonances of a
// tract and the 6 dB per octave of the mouth's radiation (Fant 1960).

const BANDWIDTHS_HZ = [60, 90, 150, 200]

export function formantVowel(
  formantsHz: readonly number[],
  pitchHz: number,
  seconds: number,
  sampleRateHz: number,
): Float64Array {
  const samples = new Float64Array(Math.round(seconds * sampleRateHz))
  for (let k = 1; k * pitchHz < 8000; k++) {
    const hz = k * pitchHz
    let amplitude = 0.1 / k
    for (const [i, formantHz] of formantsHz.entries()) {
      const width = BANDWIDTHS_HZ[i] / formantHz
      amplitude /= Math.hypot(1 - (hz / formantHz) ** 2, (width * hz) / formantHz)
    }
    const step = (2 * Math.PI * hz) / sampleRateHz
    for (let n = 0; n < samples.length; n++) samples[n] += amplitude * Math.sin(step * n + k * k)
  }
  return samples
}
