// Figures of documents, without digits that mean nothing.

/** To so many digits after the point, without a negative zero. */
export const rounded = (value: number, digits: number): number =>
  Math.round(value * 10 ** digits) / 10 ** digits + 0
