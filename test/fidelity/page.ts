// The table and the plots as one self-contained HTML page: no scripts, fonts or pictures. It uses the
// window's colours, light or dark.

import { readFileSync } from 'node:fs'
import { escapeText, type Plot, plotAsSvg } from './plot.ts'
import type { Figure, Row } from './rows.ts'
import { limitText, marginText, valueText } from './table-text.ts'

const TOKENS = new URL('../../renderer/styles/tokens.css', import.meta.url)

export function pageOf(figures: readonly Figure[], heading: string): string {
  const rows = figures.flatMap((figure) => figure.rows)
  const short = rows.filter((row) => row.verdict === 'falls short').length
  const missing = rows.filter((row) => row.verdict === 'not measured').length
  const summary = [
    `${rows.length} figures`,
    short === 0 ? 'none falls short' : `${short} fall short`,
    ...(missing === 0 ? [] : [`${missing} not measured on this machine`]),
  ].join(', ')
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Takeloft fidelity</title>
<style>${styles()}</style>
<body>
<header><h1>Fidelity figures</h1><p>${escapeText(heading)}</p><p class="${short === 0 ? 'kept' : 'short'}">${summary}.</p>
<nav>${figures.map(({ id, title }) => `<a href="#${id}">${id} ${escapeText(title)}</a>`).join('')}</nav></header>
<main>${figures.map(figureOf).join('\n')}</main>
</body>
</html>
`
}

function figureOf({ id, title, rows, plots }: Figure): string {
  return `<section id="${id}"><h2><span>${id}</span> ${escapeText(title)}</h2>
<div class="scroll"><table><thead><tr><th>what</th><th class="n">measured</th><th class="n">limit</th><th class="n">margin</th><th>source</th></tr></thead>
<tbody>${rows.map(rowAsHtml).join('\n')}</tbody></table></div>
<div class="plots">${plots.map(plotAsHtml).join('\n')}</div></section>`
}

function rowAsHtml(row: Row): string {
  const readings =
    row.readings.length < 2
      ? ''
      : `<details><summary>${row.readings.length} readings</summary><ul>${row.readings
          .map(({ where, value }) => `<li>${escapeText(where)}: ${valueText(value, row.limit)}</li>`)
          .join('')}</ul></details>`
  const where = row.worst === null ? (row.remark ?? '') : row.worst.where
  const mark = { kept: '', 'falls short': 'FALLS SHORT', 'not measured': 'not measured' }[row.verdict]
  return `<tr class="${row.verdict.replace(' ', '-')}"><td>${escapeText(row.what)}${mark === '' ? '' : ` <strong>${mark}</strong>`}<br><small>${escapeText(where)}</small>${readings}</td><td class="n">${row.worst === null ? '–' : valueText(row.worst.value, row.limit)}</td><td class="n">${limitText(row.limit)}</td><td class="n">${marginText(row)}</td><td><small>${escapeText(row.limit.source)}</small></td></tr>`
}

function plotAsHtml(plot: Plot): string {
  // Curves that share name and style share one entry.
  const entries = plot.curves.map(({ name, colour, kind }) => {
    const style = `${colour}${kind === 'dashed' ? ' dashed' : ''}`
    return `<li class="${style}">${escapeText(name)}</li>`
  })
  const legend = [...new Set(entries)].join('')
  return `<figure><figcaption><h3>${escapeText(plot.title)}</h3><p>${escapeText(plot.caption)}</p></figcaption>${plotAsSvg(plot)}<ul class="legend">${legend}</ul></figure>`
}

/** The window's colour and size tokens; the dark ones apply if the reader's system is dark. */
function styles(): string {
  const text = readFileSync(TOKENS, 'utf8').replace(/\/\*[\s\S]*?\*\//g, '')
  const [light, dark] = [...text.matchAll(/\{([^}]*)\}/g)].map(([, block]) => block.trim())
  return `:root{${light}}@media (prefers-color-scheme:dark){:root{${dark}}}${LAYOUT}`
}

const LAYOUT = `
body{margin:0;background:var(--paper);color:var(--ink);font:var(--size-text)/1.45 var(--font-text)}
header,main{max-width:1320px;margin:0 auto;padding:var(--space-5)}
header{border-bottom:1px solid var(--rule)}
h1{font:400 34px/1.2 var(--font-score);margin:0 0 var(--space-2)}
h2{font:400 var(--size-title)/1.2 var(--font-score);margin:var(--space-6) 0 var(--space-3)}
h2 span{color:var(--accent)}
h3{font:400 var(--size-large)/1.3 var(--font-score);margin:0}
nav{display:flex;flex-wrap:wrap;gap:var(--space-1) var(--space-4);margin-top:var(--space-3)}
a{color:var(--accent)}
small,figcaption p,.legend{color:var(--ink-soft);font-size:var(--size-small)}
.scroll{overflow-x:auto}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:var(--space-2) var(--space-3);border-top:1px solid var(--rule)}
th{font-weight:400;color:var(--ink-soft);border-top:0}
.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
tr.falls-short td{background:var(--failure-soft)}
tr.falls-short strong,p.short{color:var(--failure)}
tr.not-measured td{color:var(--ink-faint)}
p.kept{color:var(--accent)}
summary{cursor:pointer;color:var(--ink-soft);font-size:var(--size-small)}
details ul{columns:2;margin:var(--space-1) 0;padding-left:var(--space-4);font-size:var(--size-small)}
.plots{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,520px),1fr));gap:var(--space-5);margin-top:var(--space-4)}
figure{margin:0;background:var(--paper-raised);border:1px solid var(--rule);border-radius:var(--radius);padding:var(--space-4)}
figcaption p{margin:var(--space-1) 0 var(--space-2)}
svg{width:100%;height:auto;display:block;font:11px var(--font-text)}
svg text{fill:var(--ink-soft)}
.rules line{stroke:var(--rule);stroke-width:1}
.curve{fill:none;stroke-width:1.5;stroke:currentColor}
.dashed.curve{stroke-dasharray:5 4}
.dots circle{fill:currentColor}
.legend{list-style:none;margin:var(--space-2) 0 0;padding:0;display:flex;flex-wrap:wrap;gap:var(--space-1) var(--space-4)}
.legend li::before{content:"";display:inline-block;width:20px;border-top:2px solid;margin-right:6px;vertical-align:middle}
.legend li.dashed::before{border-top-style:dashed}
svg .accent,.legend .accent::before{color:var(--accent)}
svg .ink,.legend .ink::before{color:var(--ink)}
svg .soft,.legend .soft::before{color:var(--rule-strong)}
svg .failure,.legend .failure::before{color:var(--failure)}
svg .green,.legend .green::before{color:var(--wave-harmony)}
svg .sand,.legend .sand::before{color:var(--wave-ad-lib)}
svg .slate,.legend .slate::before{color:var(--wave-double)}
@media print{details ul{display:none}}
`
