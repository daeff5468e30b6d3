// Transport.

export const Transport = () => null
