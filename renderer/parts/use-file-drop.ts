// Files dropped on a place. The File objects are passed on unchanged, because the desktop shell can
// only find the paths of the originals.

import { type DragEvent, useRef, useState } from 'react'

const hasFiles = (event: DragEvent): boolean => event.dataTransfer.types.includes('Files')

/** @returns properties for the drop target; it has `data-drop-target` while files hover over it */
export function useFileDrop(onFiles: (files: readonly File[]) => void) {
  const [isOver, setOver] = useState(false)
  // Entering a child fires before leaving its parent, so a counter tracks whether the drag is inside.
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
