// The command line's verbs: parses the call, runs the same services as the windows do, and
// says what came of it. 0 done, 1 a verification differs, 2 the input or the call cannot be used.

import { Command, CommanderError } from 'commander'
import { Failure, failureDataOf } from '../../contract/failure.ts'
import { PROGRAM } from '../../services/program.ts'
import { NOT_USABLE } from './exit-status.ts'
import { addBounceVerb } from './verbs/bounce.ts'
import { addDemoVerb } from './verbs/demo.ts'
import { addFitVerb } from './verbs/fit.ts'
import { addMeasureVerb } from './verbs/measure.ts'
import { addProcessVerb } from './verbs/process.ts'
import { addServeVerb } from './verbs/serve.ts'
import { addVerifyVerb } from './verbs/verify.ts'

const program = new Command('takeloft')
  .description('Prepares the vocals of returning artists for the mix.')
  .version(PROGRAM.version)
  .exitOverride()
  .showHelpAfterError('(takeloft --help lists the verbs)')

addDemoVerb(program)
addMeasureVerb(program)
addProcessVerb(program)
addFitVerb(program)
addBounceVerb(program)
addVerifyVerb(program)
addServeVerb(program)
// A verb inherits the exit handling only if it is told so.
for (const verb of program.commands) verb.exitOverride()

try {
  await program.parseAsync(process.argv)
} catch (error) {
  // Help and version are no errors; everything else is a call that cannot be used.
  if (!(error instanceof CommanderError && error.exitCode === 0)) {
    const failure = failureDataOf(error instanceof CommanderError ? failureOfCall(error) : error)
    if (process.argv.includes('--json')) process.stdout.write(`${JSON.stringify({ failure })}\n`)
    // What is wrong with a call has been said where it was found.
    if (!(error instanceof CommanderError)) process.stderr.write(`${failure.message}\n`)
    if (failure.code === 'unexpected' && error instanceof Error) process.stderr.write(`${error.stack}\n`)
    process.exitCode = NOT_USABLE
  }
}

function failureOfCall({ message }: CommanderError): Failure {
  return new Failure('invalid-input', message.replace(/^error: /, ''))
}
