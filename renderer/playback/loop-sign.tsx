// The sign of the loop: a line that comes back to where it began.

export const LoopSign = () => (
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
    <path d="M12.5 5.5h-8a3 3 0 0 0 0 6h7a3 3 0 0 0 2.6-4.5M10.5 3.2l2.3 2.3-2.3 2.3" />
  </svg>
)
