// Where the manifest of a delivery is.

/** Relative to the delivery's folder. */
export const DELIVERY_MANIFEST = 'manifest.json'

/** @param folder of the delivery; both kinds of separators are understood on every system that writes `\\` */
export const deliveryManifestAt = (folder: string): string =>
  `${folder.replace(/[\\/]+$/, '')}/${DELIVERY_MANIFEST}`
