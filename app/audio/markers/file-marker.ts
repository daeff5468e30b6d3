// A marker as a sound file has it.

/** A marker of a file, in frames of that file. */
export interface FileMarker {
  /** Empty if it has none. */
  readonly name: string
  readonly note: string
  readonly frame: number
  /** 0 for a place. */
  readonly frames: number
}
