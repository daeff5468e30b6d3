// Text inside XML and HTML.

/** What XML 1.0 cannot hold, even escaped (section 2.2). */
const NO_XML_CHARACTER = /[^\t\n\r\x20-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu

const ESCAPED: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
}

/** `text` as contents of an element or of a quoted attribute. */
export const escapeMarkup = (text: string): string =>
  text
    .toWellFormed()
    .replaceAll(NO_XML_CHARACTER, '\ufffd')
    .replaceAll(/[&<>"']/g, (sign) => ESCAPED[sign]!)
