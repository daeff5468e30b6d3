// What every stage of a chain is to the rest of the program: something that
// takes blocks of sound, remembers only what it lists in `memory`, and says by
// how many samples it is late.

/** Channels of equal length, linear full scale = 1. One entry is mono, two are left and right. */
export type Channels = readonly Float64Array[]

/** The most frames a stage is ever handed at once; control buffers are made to this size. */
export const BLOCK_FRAMES = 1024

/**
 * Where a stage stands: the rate, and how many channels each lane has.
 *
 * A lane is one programme running through the stage. Lane 0 leads: level-dependent
 * stages listen to it alone and give every lane the same gain. So the stack can
 * lead while the groups follow, and the followers still add up to the leader.
 * A mono lane behind a stereo leader takes the mean of the two channels' gains
 * where a stage works channel by channel.
 */
export interface StageLayout {
  readonly sampleRateHz: number
  readonly laneChannels: readonly number[]
}

/** A running stage. Any split of the same sound into blocks gives the same samples. */
export interface Stage {
  /** Output sample n belongs to input sample n - latencySamples. */
  readonly latencySamples: number
  /**
   * All that the stage remembers between blocks, ring positions included. Filling
   * these arrays with what they held at creation resets the stage; copying them is
   * a checkpoint. A stage keeps nothing that changes anywhere else.
   */
  readonly memory: readonly Float64Array[]
  /** Greatest gain reduction in the last block in dB, 0 or more; 0 for stages that never reduce. */
  readonly reductionDb: number
  /**
   * Processes every lane in place.
   * @param lanes as in the layout, each channel at least `frames` long, finite values only
   * @param frames 1 to BLOCK_FRAMES
   */
  process(lanes: readonly Channels[], frames: number): void
}
