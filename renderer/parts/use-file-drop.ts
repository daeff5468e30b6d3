// Files dropped on a place. The browser's own files are taken as they are: the shell can
// tell the path of those, and of no copy of them.

import { type DragEvent, useRef, useState } from 'react'

const hasFiles = (event: DragEvent): boolean => event.dataTransfer.types.includes('Files')

/** Properties of the element that takes the files; `data-drop-target` stands while they hover over it. */
export function useFileDrop(onFiles: (files: readonly File[]) => void) {
  const [isOver, setOver] = useState(false)
  // Entering a child comes before leaving its parent, so that a count tells inside from outside.
  const depth = useRef(0)
  return {
    'data-drop-target': isOver || undefined,
    onDragEnter(event: DragEvent): void {
      if (!hasFiles(event)) return
      event.preventDefault()
      depth.current++
      setOver(true)
    },
    onDragOver(event: DragEvent): void {
      if (!hasFiles(event)) return
      event.preventDefault()
      event.dataTransfer.dropEffect = 'copy'
    },
    onDragLeave(event: DragEvent): void {
      if (!hasFiles(event)) return
      depth.current = Math.max(0, depth.current - 1)
      if (depth.current === 0) setOver(false)
    },
    onDrop(event: DragEvent): void {
      event.preventDefault()
      depth.current = 0
      setOver(false)
      onFiles([...event.dataTransfer.files])
    },
  }
}
