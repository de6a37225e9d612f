/** A ping follows after so many bytes of text, besides the one with each heartbeat. */
const MARK_BYTES = 16 * 1024;

/**
 * Knows how much of what was sent has been received, end to end. The kernel takes megabytes for a
 * connection that has stalled; counting only what waits in this process would call stale rows fresh.
 * So pings are sent that carry how much was sent before them, and a pong (RFC 6455 section 5.5.3: the
 * same data) confirms it.
 */
export class Receipts {
  readonly #bufferedBytes: () => number;
  #sent = 0;
  #marked = 0;
  #confirmed = 0;

  /** `bufferedBytes`: what waits in this process, whatever the other end claims to have received. */
  constructor(bufferedBytes: () => number) {
    this.#bufferedBytes = bufferedBytes;
  }

  get sentBytes(): number {
    return this.#sent;
  }

  get receivedBytes(): number {
    return Math.min(this.#confirmed, this.#sent - this.#bufferedBytes());
  }

  /** Whether anything was sent after the last mark. */
  get unmarked(): boolean {
    return this.#sent > this.#marked;
  }

  /** Notes what was sent; true when a mark is due. */
  sent(bytes: number): boolean {
    this.#sent += bytes;
    return this.#sent - this.#marked >= MARK_BYTES;
  }

  /** What the ping must carry that is sent now. */
  mark(): string {
    this.#marked = this.#sent;
    return String(this.#sent);
  }

  /** Takes the data of a pong. One that nobody asked for cannot confirm more than was marked. */
  received(data: Buffer): void {
    const bytes = Number(data.toString('latin1'));
    if (Number.isSafeInteger(bytes) && bytes <= this.#marked)
      this.#confirmed = Math.max(this.#confirmed, bytes);
  }
}
