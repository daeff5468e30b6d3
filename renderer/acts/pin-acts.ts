// Pinning versions of chains, which undo takes back.

import type { BookVersion } from '../../app/contract/book/voice-book.ts'
import { client } from '../state/connection.ts'
import { perform } from './undoable.ts'

/** Pins a version, or removes its pin. @param name as in the label of the undo */
export const pinVersion = ({ id, isPinned }: Pick<BookVersion, 'id' | 'isPinned'>, name: string) =>
  perform({
    outlivesSession: true,
    label: `${isPinned ? 'unpin' : 'pin'} ${name}`,
    redo: () => client.pinChainVersion({ id, isPinned: !isPinned }),
    undo: () => client.pinChainVersion({ id, isPinned }),
  })
