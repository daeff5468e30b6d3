// The handlers of all commands, which every host serves.

import type { Handlers } from '../contract/wire/commands.ts'
import { backgroundTaskHandlers } from './background-task-handlers.ts'
import { searchHandlers } from './book/search-everything.ts'
import { bookHandlers } from './book/voice-book.ts'
import { ledgerHandlers } from './bounces/ledger.ts'
import { chainDraftHandlers } from './chains/chain-drafts.ts'
import { chainHandlers } from './chains/chains.ts'
import { measureChainHandlers } from './chains/measure-chain.ts'
import { deliveryHandlers } from './deliveries/deliveries.ts'
import { otherSettingsHandlers } from './history/other-settings.ts'
import { voiceExchangeHandlers } from './history/voice-exchange.ts'
import { auditHandlers } from './keeping/audit.ts'
import { micHandlers } from './mics/mics.ts'
import { playbackHandlers } from './playback/playback.ts'
import { PROGRAM } from './program.ts'
import { changedTogetherHandlers } from './sessions/changed-together.ts'
import { checkStackHandlers } from './sessions/check-stack.ts'
import { fileMarkerHandlers } from './sessions/file-markers.ts'
import { measureStackHandlers } from './sessions/measure-stack.ts'
import { peopleHandlers } from './sessions/people.ts'
import { sectionHandlers } from './sessions/sections.ts'
import { stackHandlers } from './sessions/stack.ts'
import { earlierTakeHandlers } from './takes/earlier-takes.ts'
import { intakeHandlers } from './takes/intake.ts'
import { missingTakeHandlers } from './takes/missing-takes.ts'
import { voiceHandlers } from './voices/voice.ts'
import type { Workplace } from './workplace.ts'

/** The handler of every command, for one workplace. */
export function createHandlers(workplace: Workplace): Handlers {
  const { catalogue, folders } = workplace
  const intake = intakeHandlers(workplace)
  const ledger = ledgerHandlers(workplace)
  const deliveries = deliveryHandlers(workplace)
  return {
    readWorkplace: async () => ({
      cataloguePath: catalogue.path,
      bounceFolder: folders.bounces,
      archiveFolder: folders.archives,
      programVersion: PROGRAM.version,
      printsPdf: workplace.printToPdf !== null,
      empty: catalogue.sessions.list().length === 0,
      warnings: [...workplace.warnings],
    }),
    ...peopleHandlers(workplace),
    ...micHandlers(workplace),
    ...stackHandlers(workplace),
    ...sectionHandlers(workplace),
    ...fileMarkerHandlers(workplace),
    ...changedTogetherHandlers(workplace),
    ...measureStackHandlers(workplace),
    ...checkStackHandlers(workplace),
    ...intake,
    ...earlierTakeHandlers(workplace),
    ...missingTakeHandlers(workplace),
    ...auditHandlers(workplace),
    ...chainHandlers(workplace),
    ...measureChainHandlers(workplace),
    ...chainDraftHandlers(workplace),
    ...voiceHandlers(workplace),
    ...bookHandlers(workplace),
    ...searchHandlers(workplace),
    ...playbackHandlers(workplace),
    ...ledger,
    ...deliveries,
    ...backgroundTaskHandlers(workplace, { ...intake, ...ledger, ...deliveries }),
    ...voiceExchangeHandlers(workplace),
    ...otherSettingsHandlers(workplace),
  }
}
