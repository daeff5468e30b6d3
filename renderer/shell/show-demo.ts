// Opens the first session of a demo that has just been built.

import { focusPlayWhenReady } from '../playback/transport.tsx'
import { remark } from '../state/notices.ts'
import { goTo } from '../state/selection.ts'
import { chooseNewSession } from './choose-new-session.ts'

export async function showDemo(sessions: readonly number[]): Promise<void> {
  const [first] = sessions
  if (first !== undefined) await chooseNewSession(first)
  goTo('stack')
  focusPlayWhenReady()
  remark('The demo is built', 'Artist, songs, mics and curves in it are invented.')
}
