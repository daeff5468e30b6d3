// A file that misses the drop zone must not replace the window by itself.

import { useEffect } from 'react'

export function useDropGuard(): void {
  useEffect(() => {
    const refuse = (event: DragEvent): void => event.preventDefault()
    window.addEventListener('dragover', refuse)
    window.addEventListener('drop', refuse)
    return () => {
      window.removeEventListener('dragover', refuse)
      window.removeEventListener('drop', refuse)
    }
  }, [])
}
