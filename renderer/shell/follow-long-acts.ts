// A page that is loaded while a bounce, an import or the demo is under way, or after one has ended
// with no page there: it shows how far they are, may cancel them, and shows what came of them.

import type { LongActOutcome } from '../../app/contract/commands.ts'
import { type LongAct, nameOfLongAct } from '../../app/contract/long-acts.ts'
import { showImportOutcome } from '../intake/batch-acts.ts'
import { showBounceOutcome } from '../stack/bounce-acts.ts'
import { client } from '../state/connection.ts'
import { attempt, runLongAct } from '../state/notices.ts'
import { showDemo } from './show-demo.ts'

/** Once for each page. */
export async function followLongActs(): Promise<void> {
  const acts = await attempt('What is under way is not known', () => client.listLongActs({}))
  for (const act of acts ?? []) void follow(act)
}

async function follow({ id, subject }: LongAct): Promise<void> {
  const ended = await runLongAct(nameOfLongAct(subject), (options) => client.followLongAct({ id }, options))
  if (ended !== undefined) await show(ended)
}

async function show(ended: LongActOutcome): Promise<void> {
  switch (ended.kind) {
    case 'bounce':
      return showBounceOutcome(ended.outcome)
    case 'import':
      return showImportOutcome(ended.outcome)
    case 'demo':
      return showDemo(ended.sessions)
  }
}
