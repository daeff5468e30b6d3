// What the command line's exit status means.

export const DIFFERS = 1
export const NOT_USABLE = 2
