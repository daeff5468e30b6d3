// Placing a take in the stack.

import type { Role, SessionContents, Take } from '../../app/contract/entities.ts'
import { addLayer } from './stack-acts.ts'

/** Places a take at session time zero, centred, at 0 dB. */
export const placeTake = (contents: SessionContents, take: Take, role: Role, groupId: number) =>
  addLayer(contents.session.id, {
    sessionId: contents.session.id,
    groupId,
    takeId: take.id,
    name: take.name,
    role,
    offsetSamples: 0,
    gainDb: 0,
    pan: 0,
    muted: false,
  })
