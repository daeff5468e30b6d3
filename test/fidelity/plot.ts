// Plots as SVG that needs no script: axes, rules and curves in the colours of the page.

export interface Axis {
  readonly label: string
  readonly from: number
  readonly to: number
  /** Marks and their labels; the axis is logarithmic where `isLog`. */
  readonly marks: readonly number[]
  readonly isLog?: boolean
}

export interface Curve {
  readonly name: string
  readonly xs: ArrayLike<number>
  readonly ys: ArrayLike<number>
  readonly kind: 'line' | 'dashed' | 'points' | 'bars'
  readonly colour: 'accent' | 'sand' | 'green' | 'slate' | 'ink' | 'soft' | 'failure'
}

export interface Plot {
  readonly title: string
  /** What is to be seen, with the settings. */
  readonly caption: string
  readonly x: Axis
  readonly y: Axis
  readonly curves: readonly Curve[]
}

const WIDTH = 640
const HEIGHT = 320
const LEFT = 58
const RIGHT = 14
const TOP = 12
const BOTTOM = 46
/** More points than this are drawn as the highest and lowest of each column. */
const MAX_POINTS = 900

export const LOG_HZ: Axis = {
  label: 'frequency, Hz',
  from: 20,
  to: 20_000,
  marks: [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000],
  isLog: true,
}

export function evenAxis(label: string, from: number, to: number, step: number): Axis {
  const count = Math.round((to - from) / step)
  return { label, from, to, marks: Array.from({ length: count + 1 }, (_, i) => from + i * step) }
}

export function plotAsSvg(plot: Plot): string {
  const { x, y, curves, title } = plot
  const xAt = placer(x, LEFT, WIDTH - RIGHT)
  const yAt = placer(y, HEIGHT - BOTTOM, TOP)
  const bottom = HEIGHT - BOTTOM
  const xMarks = x.marks.map((mark) => {
    const at = fixed(xAt(mark))
    return `<line x1="${at}" y1="${TOP}" x2="${at}" y2="${bottom}"/><text x="${at}" y="${bottom + 16}" text-anchor="middle">${shortNumber(mark)}</text>`
  })
  const yMarks = y.marks.map((mark) => {
    const at = fixed(yAt(mark))
    return `<line x1="${LEFT}" y1="${at}" x2="${WIDTH - RIGHT}" y2="${at}"/><text x="${LEFT - 6}" y="${Number(at) + 4}" text-anchor="end">${shortNumber(mark)}</text>`
  })
  const middle = (LEFT + WIDTH - RIGHT) / 2
  return [
    `<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${escapeText(title)}">`,
    `<g class="rules">${xMarks.join('')}${yMarks.join('')}</g>`,
    `<text class="axis" x="${middle}" y="${HEIGHT - 8}" text-anchor="middle">${escapeText(x.label)}</text>`,
    `<text class="axis" transform="translate(14 ${(TOP + bottom) / 2}) rotate(-90)" text-anchor="middle">${escapeText(y.label)}</text>`,
    ...curves.map((curve) => curveAsSvg(curve, plot, xAt, yAt)),
    '</svg>',
  ].join('')
}

function curveAsSvg(
  { kind, colour, xs, ys }: Curve,
  { x, y }: Plot,
  xAt: (value: number) => number,
  yAt: (value: number) => number,
): string {
  const points: [number, number][] = []
  for (let i = 0; i < xs.length; i++) {
    if (!(xs[i] >= x.from && xs[i] <= x.to) || Number.isNaN(ys[i])) continue
    points.push([xAt(xs[i]), yAt(Math.min(Math.max(ys[i], y.from), y.to))])
  }
  if (kind === 'points') {
    return `<g class="dots ${colour}">${points.map(([px, py]) => `<circle cx="${fixed(px)}" cy="${fixed(py)}" r="3"/>`).join('')}</g>`
  }
  if (kind === 'bars') {
    const foot = fixed(yAt(Math.max(y.from, 0 > y.to ? y.from : Math.min(0, y.to))))
    const base = y.from < 0 && y.to <= 0 ? fixed(yAt(y.from)) : foot
    return `<path class="curve ${colour}" d="${points.map(([px, py]) => `M${fixed(px)} ${base}V${fixed(py)}`).join('')}"/>`
  }
  const drawn = points.length > MAX_POINTS ? columnsOf(points) : points
  const path = drawn.map(([px, py], i) => `${i === 0 ? 'M' : 'L'}${fixed(px)} ${fixed(py)}`).join('')
  return `<path class="curve ${colour}${kind === 'dashed' ? ' dashed' : ''}" d="${path}"/>`
}

/** The first, lowest and highest point of each column of the picture, in order. */
function columnsOf(points: readonly [number, number][]): [number, number][] {
  const drawn: [number, number][] = []
  for (let i = 0; i < points.length; ) {
    const column = Math.round(points[i][0])
    let lowest = points[i]
    let highest = points[i]
    for (; i < points.length && Math.round(points[i][0]) === column; i++) {
      if (points[i][1] < lowest[1]) lowest = points[i]
      if (points[i][1] > highest[1]) highest = points[i]
    }
    drawn.push(highest, lowest)
  }
  return drawn
}

function placer({ from, to, isLog }: Axis, start: number, end: number): (value: number) => number {
  const of = (value: number): number => (isLog ? Math.log(value) : value)
  return (value) => start + ((of(value) - of(from)) / (of(to) - of(from))) * (end - start)
}

const fixed = (value: number): string => value.toFixed(1)

/** 12000 as 12k; rounding noise of evenly spaced marks taken off. */
function shortNumber(value: number): string {
  if (Math.abs(value) >= 1000) return `${Number((value / 1000).toPrecision(6))}k`
  return String(Number(value.toPrecision(6))).replace('-', '−')
}

export function escapeText(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;')
}
