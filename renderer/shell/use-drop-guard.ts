// Ignores files dropped outside a drop zone; the browser would otherwise open them in place of the page.

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
