// Calls one command's handler with an input from outside.

import { sentenceOf } from '../chain-document.ts'
import { Failure } from '../failure.ts'
import { type CommandName, commands, type Handlers } from './commands.ts'

/**
 * Validates the input of a command against its schema and runs its handler.
 * @throws Failure `invalid-input` for an unknown command or invalid input; otherwise as the handler does
 */
export async function callHandler(
  handlers: Handlers,
  name: string,
  input: unknown,
  context: Parameters<Handlers[CommandName]>[1],
): Promise<unknown> {
  if (!Object.hasOwn(commands, name)) {
    throw new Failure('invalid-input', `There is no command "${name}".`, { command: name })
  }
  const command = name as CommandName
  const parsed = commands[command].input.safeParse(input)
  if (!parsed.success) {
    throw new Failure('invalid-input', `Invalid input for ${command}: ${sentenceOf(parsed.error)}.`, {
      command,
    })
  }
  // The name was looked up in the same map that types the handlers, so the pair fits.
  const handler = handlers[command] as (input: unknown, context: unknown) => Promise<unknown>
  return handler(parsed.data, context)
}
