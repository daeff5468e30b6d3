// The program's logo: six strands of a voice from left to right. The low strands get thinner and
// the high ones thicker.

/** Thickness of each strand at the left, in the middle and at the right, top to bottom. */
const STRANDS = [
  { name: 'air', thickness: [0.6, 0.9, 1.8] },
  { name: 'sibilance', thickness: [2.6, 1.6, 1.5] },
  { name: 'edge', thickness: [3.2, 3, 3.2] },
  { name: 'body', thickness: [4, 4, 4.2] },
  { name: 'mud', thickness: [3.4, 2, 1.6] },
  { name: 'rumble', thickness: [2.2, 0.7, 0.4] },
] as const

const WIDTH = 60
const HEIGHT = 24
const GAP = 0.5
/** Vertical offset at the left, in the middle and at the right. */
const BEND = [1.2, -1.4, 0.6]

const total = (station: number): number =>
  STRANDS.reduce((sum, strand) => sum + strand.thickness[station]! + GAP, -GAP)

/** Top edge of a strand at a station. */
const topOf = (index: number, station: number): number =>
  STRANDS.slice(0, index).reduce((sum, strand) => sum + strand.thickness[station]! + GAP, 0) +
  (HEIGHT - total(station)) / 2 +
  BEND[station]!

/** A smooth line through three heights, with horizontal tangents. */
const line = (heights: readonly number[], xs: readonly number[]): string =>
  heights
    .map((y, i) => {
      if (i === 0) return `${xs[0]} ${y.toFixed(2)}`
      const middle = (xs[i - 1]! + xs[i]!) / 2
      return `C${middle} ${heights[i - 1]!.toFixed(2)} ${middle} ${y.toFixed(2)} ${xs[i]} ${y.toFixed(2)}`
    })
    .join('')

const PATHS = STRANDS.map((strand, index) => {
  const tops = [0, 1, 2].map((station) => topOf(index, station))
  const bottoms = tops.map((top, station) => top + strand.thickness[station]!)
  const there = line(tops, [0, WIDTH / 2, WIDTH])
  const back = line([...bottoms].reverse(), [WIDTH, WIDTH / 2, 0])
  return { name: strand.name, d: `M${there}L${back}Z` }
})

/** Decorative; it does not show measured data. */
export const RiverMark = ({ className }: { className?: string }) => (
  <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} className={className} preserveAspectRatio="none" aria-hidden="true">
    {PATHS.map(({ name, d }) => (
      <path key={name} d={d} fill={`var(--strand-${name})`} />
    ))}
  </svg>
)
