// The command line: parses the call, runs the same services as the windows do, and reports the
// outcome. Its exit statuses are in exit-status.ts.

import { Command, CommanderError } from 'commander'
import { cancelledFailure, Failure, failureDataOf } from '../../contract/failure.ts'
import { PROGRAM } from '../../services/program.ts'
import { NOT_USABLE } from './exit-status.ts'
import { say, sayUnexpected, stopSignal } from './talk.ts'

/** The loader of each verb: a call loads only its own verb, because services take a while to load. */
const VERBS: Readonly<Record<string, () => Promise<(program: Command) => void>>> = {
  demo: async () => (await import('./verbs/demo.ts')).addDemoVerb,
  measure: async () => (await import('./verbs/measure.ts')).addMeasureVerb,
  process: async () => (await import('./verbs/process.ts')).addProcessVerb,
  phrases: async () => (await import('./verbs/phrases.ts')).addPhrasesVerb,
  align: async () => (await import('./verbs/align.ts')).addAlignVerb,
  fit: async () => (await import('./verbs/fit.ts')).addFitVerb,
  repair: async () => (await import('./verbs/repair.ts')).addRepairVerb,
  bounce: async () => (await import('./verbs/bounce.ts')).addBounceVerb,
  'check-stack': async () => (await import('./verbs/check-stack.ts')).addCheckStackVerb,
  deliver: async () => (await import('./verbs/deliver.ts')).addDeliverVerb,
  verify: async () => (await import('./verbs/verify.ts')).addVerifyVerb,
  'export-voice': async () => (await import('./verbs/export-voice.ts')).addExportVoiceVerb,
  'import-voice': async () => (await import('./verbs/import-voice.ts')).addImportVoiceVerb,
  audit: async () => (await import('./verbs/audit.ts')).addAuditVerb,
  archive: async () => (await import('./verbs/archive.ts')).addArchiveVerb,
  restore: async () => (await import('./verbs/restore.ts')).addRestoreVerb,
  relocate: async () => (await import('./verbs/relocate.ts')).addRelocateVerb,
  serve: async () => (await import('./verbs/serve.ts')).addServeVerb,
}

const program = new Command('takeloft')
  .description('Prepares the vocals of returning artists for the mix.')
  .version(PROGRAM.version)
  .addHelpText(
    'after',
    `
Exit status:
  0  done;
  1  a verification found differences;
  2  the input or the call cannot be used, the act was cancelled, or Takeloft failed.`,
  )
  .exitOverride()
  .showHelpAfterError('(takeloft --help lists the verbs)')

const called = Object.hasOwn(VERBS, process.argv[2]) ? VERBS[process.argv[2]] : undefined
const isVersion = process.argv.length === 3 && ['-V', '--version'].includes(process.argv[2])
// Help, and the error for an unknown verb, need all of them.
for (const load of called ? [called] : isVersion ? [] : Object.values(VERBS)) (await load())(program)
// A wrong call of a verb has to throw as well, instead of ending the process.
for (const verb of program.commands) verb.exitOverride()

try {
  // Loading the verb takes a while as well; signals arrive between turns of the event loop.
  await new Promise((resolve) => setImmediate(resolve))
  if (stopSignal.aborted) throw cancelledFailure()
  await program.parseAsync(process.argv)
} catch (error) {
  // Commander throws for help and version too, with exit code 0; they are not errors.
  if (!(error instanceof CommanderError && error.exitCode === 0)) {
    process.exitCode = NOT_USABLE
    const failure = failureDataOf(error instanceof CommanderError ? failureOfCall(error) : error)
    if (process.argv.includes('--json')) process.stdout.write(`${JSON.stringify({ failure })}\n`)
    // Commander has already printed what is wrong with a call.
    if (failure.code === 'unexpected') sayUnexpected(error)
    else if (!(error instanceof CommanderError)) say(failure.message)
  }
}
// Unfinished work has been cleaned up by now; anything still running is no longer needed.
if (stopSignal.aborted) process.exit()

function failureOfCall({ message }: CommanderError): Failure {
  return new Failure('invalid-input', message.replace(/^error: /, ''))
}
