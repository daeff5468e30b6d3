// Warnings that no act in the window asked for, shown as failures are.

import { client, on } from './connection.ts'
import { reportFailure } from './notices.ts'

const warn = (message: string): void => reportFailure('Takeloft has noticed something', new Error(message))

/** Shows what the services have to warn of, from before the window was there and from now on. */
export async function showWarnings(): Promise<void> {
  on('warning', ({ message }) => warn(message))
  const { warnings } = await client.readWorkplace({})
  for (const message of warnings) warn(message)
}
