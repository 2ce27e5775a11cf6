const ID_BYTES = 16;

/** A new id of 128 random bits, in hex. Unlike crypto.randomUUID it is there on pages without https too. */
export const newId = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(ID_BYTES)), (byte) =>
    byte.toString(16).padStart(2, '0'),
  ).join('');
