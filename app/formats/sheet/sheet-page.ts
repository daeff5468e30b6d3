// A document for paper as one HTML file that needs nothing else: A4, black on white, tables that continue on the next
// page under their heads. All text is escaped here, and nowhere else.

import { escapeMarkup } from '../text/escape-markup.ts'

/** A part of a section. */
export type SheetBlock =
  | { readonly kind: 'facts'; readonly facts: readonly (readonly [name: string, value: string])[] }
  | {
      readonly kind: 'table'
      readonly head: readonly string[]
      readonly rows: readonly (readonly string[])[]
      /** Columns of figures, set to the right. */
      readonly figures: readonly number[]
      /** Columns of names without spaces, such as files and hashes, which break anywhere. */
      readonly names?: readonly number[]
    }
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'list'; readonly items: readonly string[]; readonly isNumbered?: boolean }
  /** Many figures in small print. */
  | { readonly kind: 'small'; readonly text: string }
  | { readonly kind: 'heading'; readonly text: string }

/** A section under its heading. */
export interface SheetSection {
  readonly title: string
  readonly blocks: readonly SheetBlock[]
}

/** A whole document. */
export interface SheetPage {
  readonly title: string
  readonly subtitle: string
  readonly sections: readonly SheetSection[]
  readonly footer: string
}

/** A string of a style sheet: all but plain characters as code points, so that a name ends neither it nor the element. */
const styleString = (text: string): string =>
  `"${text.replaceAll(/[^A-Za-z0-9 .,_-]/gu, (one) => `\\${one.codePointAt(0)!.toString(16)} `)}"`

/** Every page has the title and its number, so that loose pages find together again (CSS Paged Media 3, margin boxes). */
const pageStyle = (title: string): string => `
@page {
  size: A4; margin: 14mm 14mm 16mm;
  @bottom-left { color: #444; content: ${styleString(title.slice(0, 90))}; font: 8pt system-ui, Arial, sans-serif }
  @bottom-right { color: #444; content: "Page " counter(page) " of " counter(pages); font: 8pt system-ui, Arial, sans-serif }
}`

const STYLE = `
* { box-sizing: border-box }
html { background: #fff; color: #111 }
body { font: 9.5pt/1.4 system-ui, "Segoe UI", "Helvetica Neue", Arial, sans-serif; margin: 0 auto; max-width: 182mm; padding: 8mm }
h1 { font-size: 20pt; line-height: 1.15; margin: 0 }
.subtitle { font-size: 11pt; margin: 1mm 0 4mm }
h2 { border-top: 0.5pt solid #111; font-size: 12pt; margin: 6mm 0 2mm; padding-top: 1.5mm }
h3 { font-size: 10pt; margin: 3mm 0 1mm }
h2, h3 { break-after: avoid }
p, li { margin: 0 0 1mm; overflow-wrap: anywhere; white-space: pre-line }
ol, ul { margin: 0 0 2mm; padding-left: 5mm }
p, li { orphans: 3; widows: 3 }
li { break-inside: avoid }
dl { display: grid; gap: 0.5mm 4mm; grid-template-columns: max-content 1fr; margin: 0 0 2mm }
dt { color: #444 }
dd { margin: 0; overflow-wrap: anywhere; white-space: pre-line }
table { border-collapse: collapse; margin: 0 0 2mm; width: 100% }
thead { display: table-header-group }
tr { break-inside: avoid }
th, td { border-bottom: 0.25pt solid #999; padding: 0.7mm 2mm 0.7mm 0; text-align: left; vertical-align: top; overflow-wrap: break-word }
td { font-size: 8.5pt }
.name { overflow-wrap: anywhere }
th { border-bottom-color: #111; color: #444; font-size: 8.5pt; font-weight: 600 }
.figure { font-variant-numeric: tabular-nums; overflow-wrap: normal; padding-right: 2.5mm; text-align: right; white-space: nowrap }
.small { font-size: 7.5pt; line-height: 1.3 }
footer { border-top: 0.5pt solid #111; color: #444; margin-top: 6mm; padding-top: 1.5mm }
@media print { body { max-width: none; padding: 0 } }
`

type Table = Extract<SheetBlock, { kind: 'table' }>

function cellsOf(tag: 'th' | 'td', cells: readonly string[], { figures, names = [] }: Table): string {
  const scope = tag === 'th' ? ' scope="col"' : ''
  const look = (k: number): string =>
    figures.includes(k) ? ' class="figure"' : tag === 'td' && names.includes(k) ? ' class="name"' : ''
  return cells.map((cell, k) => `<${tag}${scope}${look(k)}>${escapeMarkup(cell)}</${tag}>`).join('')
}

function blockHtml(block: SheetBlock): string {
  switch (block.kind) {
    case 'facts':
      return `<dl>${block.facts.map(([name, value]) => `<dt>${escapeMarkup(name)}</dt><dd>${escapeMarkup(value)}</dd>`).join('')}</dl>`
    case 'table': {
      const head = `<thead><tr>${cellsOf('th', block.head, block)}</tr></thead>`
      const rows = block.rows.map((row) => `<tr>${cellsOf('td', row, block)}</tr>`)
      return `<table>${head}<tbody>\n${rows.join('\n')}\n</tbody></table>`
    }
    case 'text':
      return `<p>${escapeMarkup(block.text)}</p>`
    case 'small':
      return `<p class="small">${escapeMarkup(block.text)}</p>`
    case 'heading':
      return `<h3>${escapeMarkup(block.text)}</h3>`
    case 'list': {
      const tag = block.isNumbered === true ? 'ol' : 'ul'
      return `<${tag}>${block.items.map((item) => `<li>${escapeMarkup(item)}</li>`).join('\n')}</${tag}>`
    }
  }
}

/** The whole file. */
export function sheetPage({ title, subtitle, sections, footer }: SheetPage): string {
  const body = sections.map(
    (section) =>
      `<section>\n<h2>${escapeMarkup(section.title)}</h2>\n${section.blocks.map(blockHtml).join('\n')}\n</section>`,
  )
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>${escapeMarkup(`${title}, recall sheet`)}</title>
<style>${pageStyle(`${title}, ${subtitle}`)}${STYLE}</style>
</head>
<body>
<h1>${escapeMarkup(title)}</h1>
<p class="subtitle">${escapeMarkup(subtitle)}</p>
${body.join('\n')}
<footer>${escapeMarkup(footer)}</footer>
</body>
</html>
`
}
