// What equal loudness means wherever a figure of it stands.

/** The definition of dsp/meters/equal-loudness.ts as a sentence. */
export const EQUAL_LOUDNESS =
  'Equal loudness means BS.1770 loudness over the same moments of both sides: the blocks of 100 ms in which the dry side passes the gates. With gates of its own for each side the figure would differ, by 0.5 LU or more behind a hard opto.'
