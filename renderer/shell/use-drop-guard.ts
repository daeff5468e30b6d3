// Refuses files dropped outside of a drop zone, which the browser would open in place of the window.

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
