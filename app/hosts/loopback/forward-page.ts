// A page that redirects to another address.

/** The address appears in the page only, never in the Referer header of the next request. */
export function forwardPage(address: string): string {
  const target = escapeHtml(address)
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<meta charset="utf-8">',
    '<meta name="referrer" content="no-referrer">',
    `<meta http-equiv="refresh" content="0; url=${target}">`,
    '<title>Takeloft</title>',
    `<p><a href="${target}">Open Takeloft</a></p>`,
    '</html>',
    '',
  ].join('\n')
}

export const escapeHtml = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('"', '&quot;').replaceAll('<', '&lt;').replaceAll('>', '&gt;')
