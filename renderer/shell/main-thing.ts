// The main thing of each place: what a user of the keyboard most likely wants next.

import type { Place } from '../state/selection.ts'

/** Selectors, the first that is shown wins. None matches what shows while a place is still loading. */
const MAIN_THINGS: Readonly<Record<Place, readonly string[]>> = {
  intake: [
    '.voice-page button',
    '.take-table [role="row"][aria-selected="true"]',
    // It passes the focus to a row, which may be out of sight and so not be there.
    '.take-table:has(.take-body)',
    '.intake-place:has(.empty-state) .batch-bar .button-main',
  ],
  mics: [
    '.mic-entry button',
    '.mics-place:has(.mic-list-empty) .mics-head-acts button',
    // An open picture hides the list.
    '.mics-place:has(.mic-list[hidden]) .mic-tab[aria-selected="true"]',
  ],
  stack: [
    '.layer-row[data-selected]',
    // A group that is selected in Chain stays selected.
    '.group-band[data-selected] .layer-row',
    '.group-band[data-selected] .group-fold:enabled',
    '.layer-row',
    '.group-fold:enabled',
    '.group-band .solo-button',
    '.stack-toolbar button:enabled',
    '.empty-state .button-main',
  ],
  chain: [
    '.voice-page button',
    '.stage-name[aria-current="true"]',
    '.stage-name',
    '.chain-place .empty-state .button-main',
  ],
  ledger: [
    '.season-column[aria-selected="true"]',
    '.find-view input',
    '.ledger-tree [role="row"]',
    '.ledger-history:has(.empty-state) .search-field input',
  ],
}

/** Shown in any place while there is no session. */
const START = '.start-page .button-main'

const isShown = (element: HTMLElement): boolean => element.getClientRects().length > 0

/** The element to focus in a place; null while it is not there. */
export function mainThingOf(place: Place): HTMLElement | null {
  for (const selector of [START, ...MAIN_THINGS[place]]) {
    const found = [...document.querySelectorAll<HTMLElement>(`main ${selector}`)].find(isShown)
    if (found !== undefined) return found
  }
  return null
}
