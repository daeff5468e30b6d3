/** A range of session frames at the session's rate; `toFrame` is exclusive. */
export interface FrameRange {
  readonly fromFrame: number
  readonly toFrame: number
}
