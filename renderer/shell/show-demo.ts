// Opens the first session of a new demo.

import { chooseNewSession } from '../acts/choose-new-session.ts'
import { remark } from '../state/notices.ts'
import { goTo } from '../state/selection.ts'
import { focusPlayWhenReady } from './transport/transport.tsx'

export async function showDemo(sessions: readonly number[]): Promise<void> {
  const [first] = sessions
  if (first !== undefined) await chooseNewSession(first)
  goTo('stack')
  focusPlayWhenReady()
  remark('Demo built', 'Its artist, songs, mics and curves are invented.')
}
