import type { Socket } from 'node:net';

/**
 * Hands what came on a socket over in pieces of at most so many bytes where it is read whole, and one of them in a turn of
 * the loop, so that no client fills a turn by itself, however much waits in its socket. The broker, for whom this is, reads
 * on by itself once it has taken a piece: within that same turn it is told that there is no more.
 */
export function readInPieces(socket: Socket, bytesMax: number): void {
  const read = socket.read.bind(socket);
  let given = false;
  const again = (): void => {
    given = false;
    socket.emit('readable');
  };
  socket.read = (bytes?: number) => {
    if (typeof bytes === 'number') return read(bytes);
    if (given) return null;
    const piece = read(socket.readableLength > bytesMax ? bytesMax : undefined);
    if (piece !== null && socket.readableLength > 0) {
      given = true;
      setImmediate(again);
    }
    return piece;
  };
}
