// Exit statuses of the command line; 0 is success.

/** A verification found stems that differ. Nothing else exits with this status. */
export const DIFFERS = 1
/** The input or the call cannot be used, the operation was cancelled, or the program failed. */
export const NOT_USABLE = 2
