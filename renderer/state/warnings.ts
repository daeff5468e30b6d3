// Warnings from the services that were not caused by an act in the window, shown as failures.

import { client, on } from './connection.ts'
import { reportFailure } from './notices.ts'

const warn = (message: string): void => reportFailure('Warning', new Error(message))

/** Shows the warnings issued before the window was opened, and all later ones. */
export async function showWarnings(): Promise<void> {
  on('warning', ({ message }) => warn(message))
  const { warnings } = await client.readWorkplace({})
  for (const message of warnings) warn(message)
}
