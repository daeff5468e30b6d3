// Why a phrase was left where it was, in words.

import type { LeftReason } from '../contract/phrases/alignment.ts'

const LEFT_WORDS: Readonly<Record<LeftReason, string>> = {
  'no-line': 'left alone: no line of the guide',
  repeated: 'left alone: another phrase was taken for this line',
  unsure: 'left alone: its timing against the guide is not sure',
  'too-far': 'left alone: it is more than 1 s away from the guide',
  'in-time': 'left alone: moving it would gain less than 3 ms',
  'no-room': 'left alone: the pauses around it are too short',
}

export const leftWords = (left: LeftReason): string => LEFT_WORDS[left]
