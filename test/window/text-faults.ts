// Finds text that is cut off, text that covers other text, and lists that leave the window.

import type { Page } from 'playwright-core'

/**
 * @param root selector of the elements to look at
 * @returns one line for each fault
 */
export const textFaultsIn = (page: Page, root: string): Promise<string[]> =>
  page.evaluate((selector) => {
    /** Rounding of text boxes, and the room above and below letters in a line. */
    const tolerancePx = 3
    interface Run {
      readonly text: string
      readonly element: Element
      readonly left: number
      readonly right: number
      readonly top: number
      readonly bottom: number
    }
    const isHidden = (element: Element): boolean =>
      element.closest('.visually-hidden, [hidden], option') !== null ||
      getComputedStyle(element).visibility === 'hidden' ||
      getComputedStyle(element).opacity === '0'
    /** Said in full somewhere, for names that users give. */
    const isTitled = (element: Element, text: string): boolean => {
      const title = element.closest('[title]')?.getAttribute('title') ?? ''
      return title.replaceAll(/\s/g, '').includes(text.replaceAll(/\s/g, ''))
    }
    const clipOf = (element: Element): DOMRect => {
      let { left, top, right, bottom } = new DOMRect(0, 0, innerWidth, innerHeight)
      for (let at: Element | null = element; at !== null; at = at.parentElement) {
        if (at instanceof SVGElement || getComputedStyle(at).overflow === 'visible') continue
        const box = at.getBoundingClientRect()
        left = Math.max(left, box.left)
        top = Math.max(top, box.top)
        right = Math.min(right, box.right)
        bottom = Math.min(bottom, box.bottom)
      }
      return new DOMRect(left, top, right - left, bottom - top)
    }

    const faults: string[] = []
    const runs: Run[] = []
    for (const part of document.querySelectorAll(selector)) {
      const walker = document.createTreeWalker(part, NodeFilter.SHOW_TEXT)
      while (walker.nextNode()) {
        const node = walker.currentNode
        const element = node.parentElement
        const text = node.textContent?.trim() ?? ''
        if (element === null || text === '' || element.tagName === 'TITLE' || isHidden(element)) continue
        const range = document.createRange()
        range.selectNodeContents(node)
        const clip = clipOf(element)
        for (const box of range.getClientRects()) {
          const run = {
            text,
            element,
            left: Math.max(box.left, clip.left),
            right: Math.min(box.right, clip.right),
            top: Math.max(box.top, clip.top),
            bottom: Math.min(box.bottom, clip.bottom),
          }
          if (run.right - run.left > 1 && run.bottom - run.top > 1) runs.push(run)
        }
        // The nearest element that hides what is too long for it, unless it scrolls.
        for (let at: Element | null = element; at !== null && at !== part; at = at.parentElement) {
          if (!(at instanceof HTMLElement)) continue
          const { overflowX, overflowY, textOverflow, webkitLineClamp } = getComputedStyle(at)
          if (
            overflowX === 'auto' ||
            overflowX === 'scroll' ||
            overflowY === 'auto' ||
            overflowY === 'scroll'
          )
            break
          const hides = overflowX !== 'visible' || textOverflow === 'ellipsis' || webkitLineClamp !== 'none'
          const isCut = at.scrollWidth > at.clientWidth + 1 || at.scrollHeight > at.clientHeight + tolerancePx
          if (hides && isCut && !isTitled(element, text)) faults.push(`cut: “${text}” in .${at.className}`)
        }
      }
      for (const input of part.querySelectorAll('input')) {
        if (input.scrollWidth > input.clientWidth + 1 && !isHidden(input))
          faults.push(`cut: “${input.value}” in a field`)
      }
    }
    for (const [index, a] of runs.entries()) {
      for (const b of runs.slice(index + 1)) {
        if (a.element === b.element) continue
        const width = Math.min(a.right, b.right) - Math.max(a.left, b.left)
        const height = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top)
        if (width > tolerancePx && height > tolerancePx) faults.push(`collide: “${a.text}” and “${b.text}”`)
      }
    }
    for (const list of document.querySelectorAll('.popover')) {
      const box = list.getBoundingClientRect()
      const isIn = box.left >= 0 && box.top >= 0 && box.right <= innerWidth && box.bottom <= innerHeight
      if (!isIn) faults.push(`outside: ${list.textContent?.slice(0, 40)}`)
    }
    return [...new Set(faults)]
  }, root)
