// Decides whether the commas in a curve's lines separate columns or may be decimal commas.

const INTEGER = /^[-+]?\d+$/
const DIGITS = /^\d+$/
const WITH_POINT = /^[-+]?\d*\.\d/

export type CommaReading = 'columns' | 'perhaps-decimals' | 'unclear'

/** Collects evidence from those lines of a curve in which only commas separate the fields. */
export class CommaColumns {
  private fewest = Number.POSITIVE_INFINITY
  private most = 0
  /** Leading fields that are whole numbers: the fewest and the most in a line. */
  private fewestWhole = Number.POSITIVE_INFINITY
  private mostWhole = 0
  private hasPoints = false
  /** Whether the second, third and fourth field are digits without a sign in every line, as decimals are. */
  private readonly isDecimals = [false, true, true, true]

  add(fields: readonly string[]): void {
    let count = fields.length
    while (count > 0 && fields[count - 1] === '') count--
    let whole = 0
    while (whole < count && INTEGER.test(fields[whole])) whole++
    this.fewest = Math.min(this.fewest, count)
    this.most = Math.max(this.most, count)
    this.fewestWhole = Math.min(this.fewestWhole, whole)
    this.mostWhole = Math.max(this.mostWhole, whole)
    this.hasPoints ||= fields.some((field) => WITH_POINT.test(field))
    for (let i = 1; i < this.isDecimals.length; i++) this.isDecimals[i] &&= DIGITS.test(fields[i] ?? '')
  }

  /**
   * `columns`: every comma separates columns. `perhaps-decimals`: most likely every comma does. `unclear`:
   * some of them may just as well be decimal commas.
   * @param named number of columns that the header names, 0 without a header
   */
  reading(named: number): CommaReading {
    if (this.mostWhole <= 2 || this.hasPoints || named >= this.most) return 'columns'
    // "1000,0" beside "1000,2,5": decimals may be missing in some lines, columns may not.
    if (this.fewest !== this.most) return 'unclear'
    const [, second, third, fourth] = this.isDecimals
    if (this.fewestWhole >= 4 && second && fourth) return 'unclear'
    if (this.fewestWhole < 3 || !(second || third)) return 'columns'
    return named > 0 ? 'unclear' : 'perhaps-decimals'
  }
}
