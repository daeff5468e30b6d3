// The page that a one-time address opens: it stores the key of the window's pages with the origin, and goes on to
// the window. It goes on by itself and not by a redirect because a redirect could hand the key over only in the
// address, and because a browser that comes from a file would not bring the strict cookie along.

import { createHash } from 'node:crypto'
import { PAGE_KEY_ITEM } from '../../contract/wire/page-key.ts'
import { escapeHtml } from './forward-page.ts'

const SCRIPT = `
const { item, key, page } = document.currentScript.dataset
localStorage.setItem(item, key)
document.documentElement.hidden = true
location.replace(page)
`

/** Content-Security-Policy of the page: its one script, by its hash. */
export const WELCOME_POLICY = `default-src 'none'; script-src 'sha256-${createHash('sha256')
  .update(SCRIPT)
  .digest('base64')}'; frame-ancestors 'none'`

/** @param page path of the window; its text is shown where the browser does not go on */
export function welcomePage(pageKey: string, page: string): string {
  const data = { item: PAGE_KEY_ITEM, key: pageKey, page }
  const attributes = Object.entries(data).map(([name, value]) => ` data-${name}="${escapeHtml(value)}"`)
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<meta charset="utf-8">',
    '<meta name="referrer" content="no-referrer">',
    '<title>Takeloft</title>',
    `<script${attributes.join('')}>${SCRIPT}</script>`,
    '<p>Takeloft needs scripts and site data in this browser. Allow both for this page, start Takeloft again, ' +
      'and open its new address.</p>',
    '</html>',
    '',
  ].join('\n')
}
