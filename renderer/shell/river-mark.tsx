// The program's mark: six strands of a voice, flowing left to right.

const STRAND_PATHS = [
  { name: 'air', y: 3, width: 1 },
  { name: 'sibilance', y: 6.5, width: 2 },
  { name: 'edge', y: 10.5, width: 3 },
  { name: 'body', y: 14.5, width: 3.4 },
  { name: 'mud', y: 18, width: 2 },
  { name: 'rumble', y: 20.5, width: 1 },
] as const

/** Decoration only: nothing in it is measured. */
export const RiverMark = ({ className }: { className?: string }) => (
  <svg viewBox="0 0 30 24" className={className} preserveAspectRatio="none" aria-hidden="true">
    {STRAND_PATHS.map(({ name, y, width }) => (
      <path
        key={name}
        d={`M0 ${y}C7 ${y - 2.5} 9 ${y + 3} 15 ${y * 0.72 + 3.3}S24 ${y + 1.5} 30 ${y}`}
        fill="none"
        stroke={`var(--strand-${name})`}
        strokeWidth={width}
      />
    ))}
  </svg>
)
