/** A range of session frames at the session's rate; `toFrame` is not part of it. */
export interface FrameRange {
  readonly fromFrame: number
  readonly toFrame: number
}
