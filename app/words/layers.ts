// What a layer is besides its figures, in words.

import type { Layer } from '../contract/entities.ts'

/** ', muted, polarity inverted', for behind its name; empty for a layer that is neither. */
export const layerStateWords = ({
  muted,
  polarityInverted,
}: Pick<Layer, 'muted' | 'polarityInverted'>): string =>
  `${muted ? ', muted' : ''}${polarityInverted ? ', polarity inverted' : ''}`
