// Tones in planar channels: steady sines, and sequences of them with one running
// phase, as the loudness standards describe their signals.

/** One part of a sequence; -Infinity dBFS is digital silence. */
export interface ToneSegment {
  readonly seconds: number
  /** Peak level, dB relative to full scale = 1. */
  readonly peakDbfs: number
}

/** Sine of peak `amplitude`; phase in degrees at frame 0. */
export function tone(
  frames: number,
  sampleRateHz: number,
  frequencyHz: number,
  amplitude: number,
  phaseDegrees = 0,
): Float64Array {
  const step = (2 * Math.PI * frequencyHz) / sampleRateHz
  const phase = (phaseDegrees * Math.PI) / 180
  return Float64Array.from({ length: frames }, (_, n) => amplitude * Math.sin(step * n + phase))
}

/** Segments end to end, the phase running on through level changes and silences. */
export function toneSequence(
  segments: readonly ToneSegment[],
  sampleRateHz: number,
  frequencyHz = 1000,
): Float64Array {
  const ends: number[] = []
  let seconds = 0
  for (const segment of segments) {
    seconds += segment.seconds
    ends.push(Math.round(seconds * sampleRateHz))
  }
  const signal = new Float64Array(ends.at(-1) ?? 0)
  let from = 0
  segments.forEach((segment, i) => {
    const amplitude = 10 ** (segment.peakDbfs / 20)
    for (let n = from; n < ends[i]; n++) {
      signal[n] = amplitude * Math.sin((2 * Math.PI * frequencyHz * n) / sampleRateHz)
    }
    from = ends[i]
  })
  return signal
}

/** Straight fades over `fadeMs` at both ends, in place. */
export function fadeEnds(signal: Float64Array, sampleRateHz: number, fadeMs: number): Float64Array {
  const frames = Math.round((fadeMs * sampleRateHz) / 1000)
  for (let n = 0; n < frames; n++) {
    signal[n] *= n / frames
    signal[signal.length - 1 - n] *= n / frames
  }
  return signal
}

/** Hands `channels` to `add` in blocks of `blockFrames`, in one reused set of buffers. */
export function feed(
  add: (channels: readonly Float64Array[], frames: number) => void,
  channels: readonly Float64Array[],
  blockFrames = 1000,
): void {
  const block = channels.map(() => new Float64Array(blockFrames))
  for (let from = 0; from < channels[0].length; from += blockFrames) {
    const frames = Math.min(blockFrames, channels[0].length - from)
    channels.forEach((channel, c) => {
      block[c].set(channel.subarray(from, from + frames))
    })
    add(block, frames)
  }
}

/**
 * Many sines of equal level from `lowestHz` to `highestHz`, evenly spaced and with
 * scattered phases: dense like noise, and the same on every run.
 */
export function toneCluster(
  frames: number,
  sampleRateHz: number,
  lowestHz: number,
  highestHz: number,
  tones: number,
  peak: number,
): Float64Array {
  const signal = new Float64Array(frames)
  for (let i = 0; i < tones; i++) {
    const frequencyHz = lowestHz + ((highestHz - lowestHz) * i) / (tones - 1)
    // Multiples of the golden angle never fall into step.
    const phase = 2.399963229728653 * i * i
    const step = (2 * Math.PI * frequencyHz) / sampleRateHz
    const turnRe = Math.cos(step)
    const turnIm = Math.sin(step)
    // Turning a pointer costs a tenth of a sine per sample; its drift stays under 1e-10.
    let re = Math.cos(phase)
    let im = Math.sin(phase)
    for (let n = 0; n < frames; n++) {
      signal[n] += im
      const turned = re * turnRe - im * turnIm
      im = re * turnIm + im * turnRe
      re = turned
    }
  }
  const greatest = signal.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
  return signal.map((sample) => (sample * peak) / greatest)
}

/** Samples on the steps of `bits`-bit PCM, without dither. */
export function quantised(signal: Float64Array, bits: number): Float64Array {
  const steps = 2 ** (bits - 1)
  return signal.map((sample) => Math.max(-steps, Math.min(steps - 1, Math.round(sample * steps))) / steps)
}
