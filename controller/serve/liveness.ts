/** What a connection shows of itself between two checks. */
export interface Signs {
  /** Bytes the kernel has taken over so far; it takes more only while the other end acknowledges. */
  takenBytes: number;
  /** Whether bytes are waiting because the kernel's own buffer is full. */
  congested: boolean;
}

/**
 * Tells a dead connection from a slow one. A pong proves life. A congested connection cannot answer
 * in time, for the ping waits behind what is queued; there, progress proves life.
 */
export class Liveness {
  #heard = true;
  #takenBytes = 0;

  /** Something came from the other end. */
  heard(): void {
    this.#heard = true;
  }

  /** Called once an interval; false: give the connection up. */
  check(signs: Signs): boolean {
    const alive = this.#heard || (signs.congested && signs.takenBytes > this.#takenBytes);
    this.#heard = false;
    this.#takenBytes = signs.takenBytes;
    return alive;
  }
}
