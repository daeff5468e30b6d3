// Draws waveforms in small portions between frames, so that scrolling and zooming never wait for them.
// Until its turn comes, a waveform shows its last drawing, stretched to the new scale.

/** Time for drawings in one frame; a frame has 16 ms at 60 Hz, and the window needs the most of it. */
const BUDGET_MS = 5

const waiting = new Map<object, () => void>()
let request = 0

function drawSome(): void {
  request = 0
  const end = performance.now() + BUDGET_MS
  for (const [owner, draw] of waiting) {
    waiting.delete(owner)
    draw()
    if (performance.now() >= end) break
  }
  if (waiting.size > 0) request = requestAnimationFrame(drawSome)
}

/** Draws soon; an earlier drawing of the same owner that still waits is dropped. */
export function drawSoon(owner: object, draw: () => void): void {
  waiting.delete(owner)
  waiting.set(owner, draw)
  if (request === 0) request = requestAnimationFrame(drawSome)
}

/** Drops a drawing that still waits. */
export const cancelDrawing = (owner: object): boolean => waiting.delete(owner)
