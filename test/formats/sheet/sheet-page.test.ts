// The page for paper: nothing in it can run or be fetched, whatever the names are.

import { describe, expect, it } from 'vitest'
import { sheetPage } from '../../../app/formats/sheet/sheet-page.ts'

const HOSTILE = "<script>alert(1)</script>\" onload='x' &amp; <img src=x>"

const page = sheetPage({
  title: HOSTILE,
  subtitle: HOSTILE,
  footer: HOSTILE,
  sections: [
    {
      title: HOSTILE,
      blocks: [
        { kind: 'facts', facts: [[HOSTILE, HOSTILE]] },
        { kind: 'table', head: [HOSTILE], rows: [[HOSTILE]], figures: [] },
        { kind: 'text', text: HOSTILE },
        { kind: 'small', text: HOSTILE },
        { kind: 'heading', text: HOSTILE },
        { kind: 'list', items: [HOSTILE] },
      ],
    },
  ],
})

describe('a page', () => {
  it('has names as text only: no element but those of the page', () => {
    const tags = new Set([...page.matchAll(/<\/?([a-z0-9]+)/g)].map(([, tag]) => tag))
    expect([...tags].sort()).toEqual(
      'body dd dl dt footer h1 h2 h3 head html li meta p section style table tbody td th thead title tr ul'.split(
        ' ',
      ),
    )
    expect(page).toContain('&lt;script&gt;alert(1)&lt;/script&gt;&quot; onload=&#39;x&#39; &amp;amp;')
  })

  it('has a style sheet that a title cannot end', () => {
    const [, style] = /<style>([\s\S]*?)<\/style>/.exec(page)!
    expect(style).toContain('content: "\\3c script\\3e alert')
    expect(style).not.toContain('<')
    expect(style).toContain('counter(page) " of " counter(pages)')
  })

  it('fetches nothing and runs nothing', () => {
    expect(page).not.toMatch(/<(script|link|img|iframe)|url\(|@import/i)
    expect(page).toContain("default-src 'none'")
  })

  it('is made for A4, with heads of tables on every page and rows in one piece', () => {
    expect(page).toContain('size: A4')
    expect(page).toContain('display: table-header-group')
    expect(page).toContain('break-inside: avoid')
  })
})
