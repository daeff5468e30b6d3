// Icons: thin lines in the colour of the surrounding text.

import type { ReactNode } from 'react'

const Sign = ({ children }: { children: ReactNode }) => (
  <svg
    viewBox="0 0 16 16"
    width="16"
    height="16"
    fill="none"
    stroke="currentColor"
    strokeWidth="1.5"
    strokeLinecap="round"
    strokeLinejoin="round"
    aria-hidden="true"
  >
    {children}
  </svg>
)

/** People and songs. */
export const PeopleSign = () => (
  <Sign>
    <circle cx="6" cy="5" r="2.5" />
    <path d="M1.5 13.5c.4-2.8 2-4.2 4.5-4.2s4.1 1.4 4.5 4.2M11 3.2a2 2 0 0 1 0 3.9M12.2 9.6c1.3.5 2.1 1.6 2.4 3.4" />
  </Sign>
)

/** Play. */
export const PlaySign = () => (
  <Sign>
    <path d="M4.5 3v10l8-5z" fill="currentColor" />
  </Sign>
)

/** Stop. */
export const StopSign = () => (
  <Sign>
    <rect x="4" y="4" width="8" height="8" fill="currentColor" />
  </Sign>
)

/** Opens a list. */
export const OpenSign = () => (
  <Sign>
    <path d="M3 6l5 5 5-5" />
  </Sign>
)

/** Goes back. */
export const BackSign = () => (
  <Sign>
    <path d="M10 3L5 8l5 5" />
  </Sign>
)

/** Goes forward. */
export const OnSign = () => (
  <Sign>
    <path d="M6 3l5 5-5 5" />
  </Sign>
)

/** Checked. */
export const TickSign = () => (
  <Sign>
    <path d="M3 8.5l3.5 3.5L13 4.5" />
  </Sign>
)

/** Closes, removes or clears. */
export const CloseSign = () => (
  <Sign>
    <path d="M4 4l8 8M12 4l-8 8" />
  </Sign>
)

/** Opens a menu. */
export const MoreSign = () => (
  <Sign>
    <path d="M3 8h.01M8 8h.01M13 8h.01" strokeWidth="2.5" />
  </Sign>
)

/** Undo. */
export const UndoSign = () => (
  <Sign>
    <path d="M6 4L3 7l3 3M3 7h6.5a3.5 3.5 0 010 7H7" />
  </Sign>
)

/** Redo. */
export const RedoSign = () => (
  <Sign>
    <path d="M10 4l3 3-3 3M13 7H6.5a3.5 3.5 0 000 7H9" />
  </Sign>
)

/** Not muted. */
export const SoundingSign = () => (
  <Sign>
    <path d="M2.5 6v4h2.5l3.5 3V3L5 6zM11 5.5a3.5 3.5 0 010 5M12.8 3.5a6 6 0 010 9" />
  </Sign>
)

/** Muted. */
export const MutedSign = () => (
  <Sign>
    <path d="M2.5 6v4h2.5l3.5 3V3L5 6zM11 6l3.5 4M14.5 6L11 10" />
  </Sign>
)

/** Polarity inverted: a circle crossed by a line, the sign of the trade. */
export const PolaritySign = () => (
  <Sign>
    <circle cx="8" cy="8" r="4.5" />
    <path d="M2.8 13.2L13.2 2.8" />
  </Sign>
)

/** Theme. */
export const ThemeSign = () => (
  <Sign>
    <circle cx="8" cy="8" r="5.5" />
    <path d="M8 2.5v11a5.5 5.5 0 000-11z" fill="currentColor" />
  </Sign>
)

/** Keyboard shortcuts. */
export const KeysSign = () => (
  <Sign>
    <rect x="1.5" y="4" width="13" height="8.5" rx="1.5" />
    <path d="M4.2 6.8h.01M6.7 6.8h.01M9.2 6.8h.01M11.7 6.8h.01M5.2 9.8h5.6" />
  </Sign>
)

/** Adds, or zooms in. */
export const PlusSign = () => (
  <Sign>
    <path d="M8 3v10M3 8h10" />
  </Sign>
)

/** Zooms out. */
export const MinusSign = () => (
  <Sign>
    <path d="M3 8h10" />
  </Sign>
)

/** Loop. */
export const LoopSign = () => (
  <Sign>
    <path d="M12.5 5.5h-8a3 3 0 0 0 0 6h7a3 3 0 0 0 2.6-4.5M10.5 3.2l2.3 2.3-2.3 2.3" />
  </Sign>
)

/** Rows of one line. */
export const LinesSign = () => (
  <Sign>
    <path d="M2.5 3.5h11M2.5 6.5h11M2.5 9.5h11M2.5 12.5h11" />
  </Sign>
)
