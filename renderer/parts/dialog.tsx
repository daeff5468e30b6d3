// Modal dialogs, closed by Escape or their own buttons.

import type { ReactNode } from 'react'
import { Dialog as AriaDialog, Heading, Modal, ModalOverlay } from 'react-aria-components'
import './dialog.css'

export interface DialogProps {
  readonly title: string
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly children: ReactNode
  readonly width?: 'narrow' | 'wide' | 'page'
}

/** A modal dialog; Escape calls `onClose`. */
export const Dialog = ({ title, isOpen, onClose, children, width = 'narrow' }: DialogProps) => (
  <ModalOverlay
    className="dialog-ground"
    isOpen={isOpen}
    onOpenChange={(open) => {
      if (!open) onClose()
    }}
  >
    <Modal className={`dialog-sheet dialog-${width}`}>
      <AriaDialog className="dialog">
        <Heading slot="title" level={2} className="dialog-title">
          {title}
        </Heading>
        {children}
      </AriaDialog>
    </Modal>
  </ModalOverlay>
)

/** The row of buttons at the bottom of a dialog. */
export const DialogButtons = ({ children }: { children: ReactNode }) => (
  <div className="dialog-buttons">{children}</div>
)

/** The error message of a dialog, above its buttons; null shows nothing. */
export const DialogFailure = ({ message }: { message: string | null }) =>
  message === null ? null : (
    <p role="alert" className="dialog-failure">
      {message}
    </p>
  )
