// The interface of every stage of a chain: it processes blocks of sound, keeps state
// only in `memory`, and states its latency in samples.

/** Channels of equal length, linear full scale = 1. One entry is mono, two are left and right. */
export type Channels = readonly Float64Array[]

/** The most frames that a stage processes at once; control buffers have this size. */
export const BLOCK_FRAMES = 1024

/**
 * The sample rate of a stage, and how many channels each lane has.
 *
 * A lane is one programme running through the stage. Lane 0 is the leader: level-dependent
 * stages detect on it alone and apply the same gain to every lane. So the stack can
 * lead while the groups follow, and the followers still add up to the leader.
 * A mono lane behind a stereo leader takes the mean of the two channels' gains
 * where a stage works channel by channel.
 */
export interface StageLayout {
  readonly sampleRateHz: number
  readonly laneChannels: readonly number[]
  /**
   * For each lane, the lane of the group whose sound it is part of; the leader's own entry is 0. The groups are
   * 1 to the greatest entry, each part of itself, have the leader's channels and add up to it. Without this,
   * the leader is the one group. A stage that listens to each group by itself makes the leader their sum again.
   */
  readonly groupOfLane?: readonly number[]
}

/** A running stage. Any split of the same sound into blocks gives the same samples. */
export interface Stage {
  /** Output sample n corresponds to input sample n - latencySamples. */
  readonly latencySamples: number
  /**
   * The whole state of the stage between blocks, ring positions included. Restoring
   * these arrays to their values at creation resets the stage; copying them is a
   * checkpoint. A stage keeps no other state that changes.
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
