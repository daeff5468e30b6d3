// What a new session is given where nobody has chosen anything.

/** Sessions start at 01:00:00 (common practice), so that material before bar 1 can have a time stamp. */
export const NEW_SESSION_START_S = 3600

/** Today's date in the user's time zone, yyyy-mm-dd. */
export const today = (): string => {
  const now = new Date()
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10)
}
