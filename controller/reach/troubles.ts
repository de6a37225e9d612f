import type { Failing } from '../../shared/wire/reach-view.ts';

/** What fails that is no channel: disk, sounder, the plan itself. */
export class Troubles {
  private readonly all = new Map<string, Failing>();
  private readonly wallMs: () => number;

  constructor(wallMs: () => number) {
    this.wallMs = wallMs;
  }

  /** Notes that something fails and why, or with null that it works. Since when is kept while it fails. */
  set(channelId: string, channel: string, why: string | null): void {
    if (why === null) this.all.delete(channelId);
    else {
      const sinceMs = this.all.get(channelId)?.sinceMs ?? this.wallMs();
      this.all.set(channelId, { channelId, channel, why, sinceMs });
    }
  }

  list(): Failing[] {
    return [...this.all.values()];
  }
}
