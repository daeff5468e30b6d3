// Whether commas between the columns of a curve may be decimal commas as well.

const INTEGER = /^[-+]?\d+$/
const DIGITS = /^\d+$/
const WITH_POINT = /^[-+]?\d*\.\d/

export type CommaReading = 'columns' | 'perhaps-decimals' | 'unclear'

/** What the lines of a curve tell that have commas alone between their fields. */
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
   * `columns`: every comma separates. `perhaps-decimals`: most likely so. `unclear`: as likely as not, a part of
   * them are decimal commas.
   * @param named how many columns the header names, 0 without one
   */
  reading(named: number): CommaReading {
    if (this.mostWhole <= 2 || this.hasPoints || named >= this.most) return 'columns'
    // "1000,0" beside "1000,2,5": columns do not come and go, decimals do.
    if (this.fewest !== this.most) return 'unclear'
    const [, second, third, fourth] = this.isDecimals
    if (this.fewestWhole >= 4 && second && fourth) return 'unclear'
    if (this.fewestWhole < 3 || !(second || third)) return 'columns'
    return named > 0 ? 'unclear' : 'perhaps-decimals'
  }
}
