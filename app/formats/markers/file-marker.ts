// Markers and sections as the files of a delivery hold them: by sample, counted from the first one of the files.

/** A place, or a range where `frames` is more than zero. */
export interface FileMarker {
  readonly name: string
  /** From the first sample of the files, at their rate. */
  readonly startFrame: number
  /** Length of a section; 0 for a place. */
  readonly frames: number
  /** Empty where there is none. */
  readonly note: string
}

/** `section` for what has a length. */
export const kindOf = ({ frames }: FileMarker): 'section' | 'marker' => (frames > 0 ? 'section' : 'marker')
