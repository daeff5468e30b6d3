// Every command's handler on one workplace: what all hosts serve.

import type { Handlers } from '../contract/commands.ts'
import { chainHandlers } from './chains.ts'
import { earlierTakeHandlers } from './earlier-takes.ts'
import { intakeHandlers } from './intake.ts'
import { ledgerHandlers } from './ledger.ts'
import { longActHandlers } from './long-act-handlers.ts'
import { measureStackHandlers } from './measure-stack.ts'
import { micHandlers } from './mics.ts'
import { peopleHandlers } from './people.ts'
import { playbackHandlers } from './playback.ts'
import { PROGRAM } from './program.ts'
import { stackHandlers } from './stack.ts'
import { voiceHandlers } from './voice.ts'
import type { Workplace } from './workplace.ts'

export function createHandlers(workplace: Workplace): Handlers {
  const { catalogue, folders } = workplace
  const intake = intakeHandlers(workplace)
  const ledger = ledgerHandlers(workplace)
  return {
    readWorkplace: async () => ({
      cataloguePath: catalogue.path,
      bounceFolder: folders.bounces,
      programVersion: PROGRAM.version,
      empty: catalogue.sessions.list().length === 0,
      warnings: [...workplace.warnings],
    }),
    ...peopleHandlers(workplace),
    ...micHandlers(workplace),
    ...stackHandlers(workplace),
    ...measureStackHandlers(workplace),
    ...intake,
    ...earlierTakeHandlers(workplace),
    ...chainHandlers(workplace),
    ...voiceHandlers(workplace),
    ...playbackHandlers(workplace),
    ...ledger,
    ...longActHandlers(workplace, { ...intake, ...ledger }),
  }
}
