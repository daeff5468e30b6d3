// Opens the dialog for files of Import takes, from any place.

import { goTo, readSelection } from '../state/selection.ts'
import { showVoice } from '../state/voice-desk.ts'

/** Frames to wait for Intake; a browser allows the dialog for a few seconds after the key press. */
const MOST_FRAMES = 120

/** Goes to Intake and asks for files; without a session nothing happens. */
export function showImport(): void {
  const { place, sessionId } = readSelection()
  if (sessionId === null) return
  showVoice('intake', false)
  if (place !== 'intake') goTo('intake')
  askForFiles(MOST_FRAMES)
}

function askForFiles(frames: number): void {
  const input = document.querySelector<HTMLInputElement>('.intake-place .batch-bar input[type="file"]')
  if (input !== null) input.click()
  else if (frames > 0) requestAnimationFrame(() => askForFiles(frames - 1))
}
