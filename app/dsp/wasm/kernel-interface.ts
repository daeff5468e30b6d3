// The kernels' functions, made of assembly/ by "npm run wasm". Not written by hand.

import type { Row } from './row.ts'

/** Lengths count doubles unless the name says otherwise. */
export interface Kernels {
  /**
   * y = x - x[n-1] + r y[n-1] over the difference, then unbentGain dry + bentGain y.
   * @param state last x and y of the DC block
   */
  addDcBlocked(
    dry: Row,
    difference: Row,
    sum: Row,
    state: Row,
    r: number,
    unbentGain: number,
    bentGain: number,
    frames: number,
  ): void

  /** Adds a row times a gain to another. @param frames rounded up to a multiple of 2 */
  addScaledRow(row: Row, gain: number, sum: Row, frames: number): void

  /** Advances the section's state alone, while there is no reduction. @param coefficients p11, p21, p22, q2 at rest */
  advanceAtRest(samples: Row, frames: number, coefficients: Row, state: Row): void

  /** Samples times 1 - reduction, in place. @param taken reductions, 0 to 1 @param frames rounded up to a multiple of 2 */
  attenuateRow(samples: Row, taken: Row, frames: number): void

  /** Holds a row's samples within a limit both ways. @param frames rounded up to a multiple of 2 */
  clampRow(samples: Row, frames: number, limit: number): void

  /**
   * Writes `frames` samples of the output.
   * @param input the first sample under the first one's taps; silence is written out
   * @param taps `length` for each phase in turn; `length` is a multiple of 4
   * @param phase of the first one
   * @param wholeStep input samples from one to the next, `phaseStep` less of their phases
   */
  convertRate(
    input: Row,
    output: Row,
    frames: number,
    taps: Row,
    length: number,
    phases: number,
    phase: number,
    wholeStep: number,
    phaseStep: number,
  ): void

  /**
   * Counts pairs of equal magnitude in the hybrid bank's granules that begin at `count` samples in turn.
   * @param count a multiple of 4
   * @param filtered, stride what `filterBands` wrote
   * @param isFirstOdd 1 where the first band is an odd one, 0 elsewhere
   * @param folding 72 floats: window and signs of both samples that are folded to one, for even bands, then for odd ones
   * @param transform 18 times 18 floats, a row for each line
   * @param butterflies eight factors of the own line, then eight of the other
   * @param work 16 * (18 * bands + 18) bytes
   * @param counts a double for each sample modulo `offsets`; a multiple of 4
   */
  countInGranules(
    count: number,
    filtered: Row,
    stride: number,
    bands: number,
    isFirstOdd: number,
    folding: Row,
    transform: Row,
    butterflies: Row,
    tolerance: number,
    work: Row,
    counts: Row,
    offsets: number,
  ): void

  /**
   * Adds the pairs of equal magnitude under each window to its counts.
   * @param bins, re, im the bins that `slideBins` left; the first one belongs to an even coefficient less `terms` - 1
   * @param windows `windowCount` rows of `terms` floats, the sines of each window
   * @param lines how many coefficients, a multiple of 16
   * @param tolerance share of a band's mean magnitude within which magnitudes are equal
   * @param work 2 * bins + 64 floats
   * @param counts one double for each window, `stride` bytes apart
   */
  countUnderWindows(
    bins: number,
    re: Row,
    im: Row,
    windows: Row,
    windowCount: number,
    terms: number,
    lines: number,
    tolerance: number,
    work: Row,
    counts: Row,
    stride: number,
  ): void

  /**
   * As decimateByTwo of app/dsp/filters/half-band.ts, from split sound, eight results at a time.
   * @param middle taps before the middle one, a multiple of 2
   */
  decimateByTwo(taps: Row, middle: number, even: Row, odd: Row, destination: Row, samples: number): void

  /** One row with the values of two alternating, to two rows. */
  deinterleaveRows(both: Row, first: Row, second: Row, frames: number): void

  /**
   * The state-space step of the section at each frame: rows of p11, p21, p22, q2, y0, y1, y2.
   * @param g tan(pi f / fs) of the section at 0 dB
   * @param isBell a bell, or else a high shelf
   * @param frames rounded up to a multiple of 2
   */
  designMovingSection(
    reductionsDb: Row,
    frames: number,
    rows: Row,
    g: number,
    damping: number,
    isBell: boolean,
  ): void

  /** As doubleRate of app/dsp/filters/half-band.ts; `source` and `destination` are where the block begins. */
  doubleRate(taps: Row, count: number, source: Row, destination: Row, samples: number): void

  /**
   * Bands of a polyphase filter bank at each sample.
   * @param samples `count` + 511 of them; the first output needs the first 512
   * @param prototype 512 values by age, oldest sample first, with the signs that fold 512 to 64
   * @param modulation 64 values for each band, in the same order
   * @param filtered a row of floats for each band, `stride` bytes apart
   * @param folded 64 doubles of work space
   */
  filterBands(
    samples: Row,
    count: number,
    prototype: Row,
    modulation: Row,
    bands: number,
    filtered: Row,
    stride: number,
    folded: Row,
  ): void

  /** Sets states under 1e-15 to 0, before they become denormal numbers. */
  flushDecayed(states: Row, count: number): void

  /**
   * Samples to their smoothed square, in place.
   * @param state the last power
   * @param floor constant power that keeps the state out of denormal numbers
   */
  followPower(samples: Row, frames: number, state: Row, smooth: number, floor: number): void

  /** Where the static tables end and free memory begins, in bytes. */
  freeFrom(): Row

  /**
   * As halveRate of app/dsp/filters/half-band.ts, from split sound to split sound.
   * @param even where the newest samples of the taps begin
   * @param odd where the samples between them begin
   */
  halveRate(taps: Row, count: number, even: Row, odd: Row, toEven: Row, toOdd: Row, samples: number): void

  /**
   * The first place from `from` on whose value times `sign` reaches `floor`; `end` where there is none.
   * @param sign 1 or -1
   */
  indexReaching(row: Row, from: number, end: number, sign: number, floor: number): number

  /** Two rows to one in which their values alternate. */
  interleaveRows(first: Row, second: Row, both: Row, frames: number): void

  /** The greater of two rows, into the first. */
  maximumRow(highest: Row, row: Row, frames: number): void

  /** One row times another, in place. */
  multiplyRow(samples: Row, gains: Row, frames: number): void

  /** Products of two rows, split into those of even and odd place. @param count rounded up to a multiple of 4 */
  multiplySplit(a: Row, b: Row, toEven: Row, toOdd: Row, count: number): void

  /**
   * Raises peaks[i] to the peak from sample i - GROUP_FRAMES up to the next one, where that is
   * above the limit.
   * @param sound where the block begins; 50 samples before it count
   * @param taps of an even number of phases, 48 each
   * @param factors as in app/dsp/meters/true-peak-interpolator.ts
   * @returns whether any is
   */
  raiseToIntervalPeaks(
    sound: Row,
    frames: number,
    peaks: Row,
    limit: number,
    taps: Row,
    phases: number,
    peakFactor: number,
    nearFactor: number,
    bendFactor: number,
  ): 0 | 1

  /**
   * Signed words, little-endian, to samples; exactly. Reads 4 bytes from the start of every word.
   * @param stride bytes from word to word
   * @param wordBytes 1 to 4
   */
  readWords(words: Row, frames: number, stride: number, wordBytes: number, samples: Row): void

  /**
   * Peaks to reductions (1 - gain), in place.
   * @param state head, length and place of the queue; both sums and both positions; the last
   *   released reduction; frames since the last reduction; then the queue's values, their
   *   places, and both means' values
   * @param window of the queue
   * @returns the greatest
   */
  runCeilingControl(
    peaks: Row,
    frames: number,
    state: Row,
    ceiling: number,
    release: number,
    window: number,
    firstLength: number,
    secondLength: number,
  ): number

  /**
   * Target reductions in dB to reductions with attack, hold and linear release, in place.
   * @param state reduction in dB, and frames of hold that remain; behind them it writes the
   *   first frame with reduction, and the one after the last
   * @returns the greatest
   */
  runDeEssBallistics(
    askedDb: Row,
    frames: number,
    state: Row,
    rangeDb: number,
    attack: number,
    holdFrames: number,
    releaseDb: number,
    untouchedDb: number,
  ): number

  /**
   * Static reductions to reductions with attack, hold and release, in dB and in place.
   * @param state reduction in dB, and frames of hold that remain
   * @returns the greatest
   */
  runExpanderBallistics(
    askedDb: Row,
    frames: number,
    state: Row,
    attack: number,
    release: number,
    holdFrames: number,
    openDb: number,
  ): number

  /** One channel through the moving section, in place; samples without reduction stay as they are. */
  runMovingSection(samples: Row, frames: number, reductionsDb: Row, rows: Row, state: Row): void

  /**
   * As test/dsp/reference/opto-cells.ts, in place.
   * @param coefficients attack, release, slow fill, memory fill and memory fade as smoothing
   *   coefficients, the shortest time of the slow cell and what memory adds, in frames, and the
   *   smoothing coefficient of the attack's last part
   * @param state fast and slow cell in dB, memory, both cells together
   * @returns the greatest reduction in dB
   */
  runOptoCells(reductionsDb: Row, frames: number, coefficients: Row, state: Row): number

  /**
   * One channel through sections in a row, in place; the sections lie in pairs, first half
   * before second half, and an odd last one alone in its first half.
   */
  runSectionsOfOne(samples: Row, frames: number, coefficients: Row, state: Row, sections: number): void

  /**
   * Two channels through the sections of `pairs` vectors, in place.
   * @param samples both channels' samples in turn
   */
  runSectionsOfTwo(samples: Row, frames: number, coefficients: Row, state: Row, pairs: number): void

  /**
   * Slides Fourier bins by `count` samples: bin = bin * turn + difference * half turn.
   * @param differences what enters less what leaves, one for each sample
   * @param bins rounded up to a multiple of 2
   * @param re, im the bins
   * @param turns cosines, sines, cosines of half and sines of half of each bin's turn, four rows of `bins`
   */
  slideBins(differences: Row, count: number, bins: number, re: Row, im: Row, turns: Row): void

  /**
   * Limits the reductions to the range, and takes from them what a soft sibilant is spared, in place.
   * @param graceDb how far below the hot sibilants nothing is spared
   * @param spared dB less for each dB below that
   * @param frames rounded up to a multiple of 2
   */
  spareSoft(
    askedDb: Row,
    hotness: Row,
    frames: number,
    rangeDb: number,
    graceDb: number,
    spared: number,
  ): void

  /** Sum of the squares of a row's first `count` values. */
  sumOfSquares(row: Row, count: number): number

  /** Sum of `count` vectors, in their order. */
  sumVectors(vectors: Row, count: number, sum: Row): void

  /**
   * Takes a row into the lowest and highest values and the sums of every second pair of samples.
   * @param count of samples, 1 or more; a multiple of 4 in all rows but the last
   * @param state lowest, highest, sums of places 0 and 1, sums of places 2 and 3: two values
   *   each. What is left over of the last row is added to place 0.
   */
  surveyRow(row: Row, count: number, state: Row): void

  /**
   * Three sections of both bands, and the followers of their powers.
   * @param bands the sound for both bands in turn; overwritten by their powers
   * @param coefficients three pairs', then as vectors what the followers keep upward and downward
   * @param state c1 and c2 of three pairs, then both powers
   * @param floor power that is always there: keeps the rest normal
   */
  writeBandPowers(bands: Row, frames: number, coefficients: Row, state: Row, floor: number): void

  /** What the curve's gain is short of 1 at every sample. @param count rounded up to a multiple of 4 */
  writeExcess(sound: Row, excess: Row, count: number, push: number, tanhBias: number): void

  /**
   * Powers to the static curve's reductions in dB, in place; -1 where the level is not
   * below the threshold.
   * @param frames rounded up to a multiple of 2
   * @returns whether any is below
   */
  writeExpansions(
    powers: Row,
    frames: number,
    thresholdPower: number,
    thresholdDb: number,
    slope: number,
    rangeDb: number,
  ): 0 | 1

  /** Reductions in dB to gains, in place; without reduction the gain is exactly `makeUpGain`. */
  writeGainsOfReductions(reductionsDb: Row, frames: number, makeUpDb: number, makeUpGain: number): void

  /** Greatest second difference of each group; reads a sample before the first and behind the last. */
  writeGroupBends(samples: Row, groups: number, groupFrames: number, bends: Row): void

  /** Greatest magnitude of each group. @param groupFrames a multiple of 2 */
  writeGroupPeaks(samples: Row, groups: number, groupFrames: number, peaks: Row): void

  /**
   * How hot a channel's sibilance is: its power over that of the voice's hot sibilants so far, 0 where the
   * ratio is not that of a sibilant.
   * @param powers sibilant and voice in turn, as `writeBandPowers` leaves them
   * @param ratios as `writeRatios` leaves them
   * @param state power of the loud voice, of hot sibilants, and of the loud voice when the last of these was heard
   * @param sibilantRatio ratio above which a moment is sibilant
   * @param voiceRise, sibilantRise what voice and sibilants keep upward in one frame
   * @param fall, pauseFall what the voice keeps downward while it is there, and in pauses
   * @param forget what hot sibilants keep in a frame of softer ones
   * @param present share of a remembered power under which a moment is a pause
   * @param least power of hot sibilants, as a share of the voice's
   */
  writeHotness(
    powers: Row,
    ratios: Row,
    hotness: Row,
    frames: number,
    state: Row,
    sibilantRatio: number,
    voiceRise: number,
    sibilantRise: number,
    fall: number,
    pauseFall: number,
    forget: number,
    present: number,
    least: number,
  ): void

  /**
   * Sum of squares of two channels behind both stages of the K-weighting, each summed for itself.
   * In state-space form, y = b0 x + s1: the next state needs the last state and not the
   * output, which shortens what each sample has to wait for.
   * @param both samples of the channels in turn
   * @param coefficients b0, b1 - a1 b0, b2 - a2 b0, a1, a2 of the shelf, then -2 - a1, 1 - a2,
   *   a1, a2 of the high-pass, whose b are 1, -2, 1
   * @param state four vectors; behind them it writes the two sums
   */
  writeKWeightedEnergies(both: Row, frames: number, coefficients: Row, state: Row): void

  /**
   * One channel's squared envelope behind its high-pass, smoothed, in place. The envelope's
   * second branch is a sample late by design.
   * @param coefficients p11, p21, p22, q2, y0, y1, y2 of the high-pass, the smoother's a, then
   *   four vectors of all-pass coefficients
   * @param state c1, c2 of the high-pass, its last result, a place that is not used, then as
   *   vectors the last and last but one of what goes into the all-passes and of what comes
   *   out of each; at the end the smoothed power
   * @param floor constant power that keeps the state out of denormal numbers
   */
  writeOptoPower(samples: Row, frames: number, coefficients: Row, state: Row, floor: number): void

  /** Sibilant power over that of the voice and a floor. @param frames rounded up to a multiple of 2 */
  writeRatios(powers: Row, ratios: Row, frames: number, floor: number): void

  /** Squared magnitude of every bin of both frames. */
  writeSquares(re: Row, im: Row, bins: number, squares: Row): void

  /**
   * Powers to the static curve's reductions in dB, in place.
   * @param frames rounded up to a multiple of 2
   * @returns whether any may be more than 0
   */
  writeStaticReductions(
    powers: Row,
    frames: number,
    untouchedPower: number,
    thresholdDbfs: number,
    slope: number,
    kneeDb: number,
  ): 0 | 1

  /**
   * Windows two frames and transforms them.
   * @param first, second samples of the frames, 2 * half of each
   * @param order for each i below `half`, the place of a pair of samples, as 32-bit integers
   * @param turns twiddle factors of all passes by four, one after another
   * @param halfTurns cosine and sine of 2 pi k / (2 * half), in turn, for k from 0 to half / 2
   * @param re, im `half` + 1 vectors each, bins 0 to half the sample rate
   */
  writeTwoSpectra(
    first: Row,
    second: Row,
    half: number,
    window: Row,
    order: Row,
    turns: Row,
    halfTurns: Row,
    re: Row,
    im: Row,
  ): void

  /**
   * One channel's samples to words, little-endian.
   * @param to where its first word goes
   * @param stride bytes from word to word
   * @param wordBytes 1 (offset by 128), 2 or 3
   * @param top 2^(bits - 1)
   * @param noise the generator's four words of 32 bits; 0 rounds without dither
   * @returns how many did not fit and were held at full scale; or -1 less the place of the
   *   first sample that is not finite
   */
  writeWords(
    samples: Row,
    frames: number,
    to: Row,
    stride: number,
    wordBytes: number,
    top: number,
    noise: Row,
  ): number
}
