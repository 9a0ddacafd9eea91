/**
 * Watches the bytes of an MQTT connection go by and tells of a packet that is too large as soon as its fixed header
 * is there, before its body has been gathered. MQTT 3.1.1, 2.2.3: one byte of type and flags, then the remaining length in
 * at most four bytes of seven bits each, the least significant first.
 *
 * Returns what is to be called with each chunk; `tooLarge` gets the packet's length and is called at most once.
 */
export function packetMeter(
  maxBytes: number,
  tooLarge: (bytes: number) => void,
): (chunk: Uint8Array) => void {
  let body = 0;
  let header = 0;
  let remaining = 0;
  let over = false;
  return (chunk) => {
    let at = 0;
    while (at < chunk.length && !over) {
      if (body > 0) {
        const passed = Math.min(body, chunk.length - at);
        body -= passed;
        at += passed;
        continue;
      }
      const byte = chunk[at++]!;
      if (header++ === 0) {
        remaining = 0;
        continue;
      }
      remaining += (byte & 0x7f) * 128 ** (header - 2);
      // a fifth byte of length is malformed; the parser says so
      if ((byte & 0x80) !== 0 && header < 5) continue;
      if (header + remaining > maxBytes) {
        over = true;
        tooLarge(header + remaining);
      }
      body = remaining;
      header = 0;
    }
  };
}
