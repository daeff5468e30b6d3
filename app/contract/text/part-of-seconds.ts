// A part of a length in words, with as many digits as it takes to tell the two apart.

/** '20.8 of 46.0 s', or '45.999 of 46.000 s' where a digit would hide what is missing. */
export function partOfSeconds(partS: number, wholeS: number): string {
  // Six digits tell apart single samples at the highest rate.
  for (let digits = 1; digits < 6; digits++) {
    if (partS.toFixed(digits) !== wholeS.toFixed(digits))
      return `${partS.toFixed(digits)} of ${wholeS.toFixed(digits)} s`
  }
  return `${partS.toFixed(6)} of ${wholeS.toFixed(6)} s`
}
