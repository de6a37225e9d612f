import { useSignal } from '@preact/signals';
import type { Outcome } from '../command/send.ts';
import { run, say } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { Button } from '../view/parts.tsx';
import { calendarPath, deletePlan, putPlan } from './api.ts';
import { CHANGE } from './form.tsx';
import { draftOf } from './form-of.ts';
import { changing, draft, hearPlans, mass, newDraft, own, type Shown, stored, takeStored } from './state.ts';
import { titleOf } from './words.ts';

/** Keeps a plan on the controller, as an errand that an unpaired phone can come back to. */
export function keep(shown: Shown): void {
  void run({
    order: null,
    send: async (): Promise<Outcome> => {
      const answer = await putPlan(shown.planId, shown.form, shown.revision);
      if (!answer.ok) return answer;
      takeStored(answer.value);
      return { ok: true };
    },
    from: 'plan',
    bagId: shown.planId,
    done: 'The plan is kept. Every phone sees it.',
    to: { name: 'plan', id: shown.planId },
  });
}

interface KeepingProps {
  readonly shown: Shown;
  readonly running: boolean;
  readonly canStart: boolean;
}

/** What can be done with a plan: keep, start, share, print, change, forget. */
export function Keeping({ shown, running, canStart }: KeepingProps) {
  const kept = shown.kept !== null;
  return (
    <section class="plan-keeping" aria-label="Keep, start and share">
      {kept ? (
        <p class="help" data-test="plan-kept" data-revision={shown.kept?.revision}>
          Kept on the controller by {shown.kept?.by}; every phone sees the same plan, and reminders go out by
          it.
        </p>
      ) : (
        <>
          <p class="help">
            Only on this phone so far. Kept, every phone sees it, reminders go out by it, and a cook can be
            started from it.
          </p>
          <Button test="plan-keep" strong onPress={() => keep(shown)}>
            Keep this plan
          </Button>
        </>
      )}
      {canStart ? (
        <Button test="plan-go-start" strong={kept} onPress={() => go('plan-start', shown.planId)}>
          Start the cook now…
        </Button>
      ) : null}
      <div class="ways">
        {kept ? (
          <a class="button" data-test="plan-calendar" href={calendarPath(shown.planId)} download>
            Into a calendar
          </a>
        ) : null}
        {kept ? <Share shown={shown} /> : null}
        <Button test="plan-print" onPress={() => print()}>
          Print
        </Button>
        {running ? null : <Change shown={shown} />}
        <Button
          test="plan-another"
          onPress={() => {
            newDraft();
            go('plan');
          }}
        >
          Plan another
        </Button>
      </div>
    </section>
  );
}

function Change({ shown }: { shown: Shown }) {
  const forget = () => {
    if (shown.kept === null) {
      own.value = null;
      go('plan');
      return;
    }
    void run({
      order: null,
      send: async () => {
        const answer = await deletePlan(shown.planId);
        if (!answer.ok) return answer;
        stored.value = null;
        void hearPlans();
        return { ok: true };
      },
      from: 'plan',
      bagId: shown.planId,
      done: 'The plan is gone from every phone.',
      to: { name: 'plan', id: null },
    });
  };
  return (
    <>
      <Button
        test="plan-change"
        onPress={() => {
          draft.value = draftOf(shown.form, unit.value, mass.value);
          changing.value = { planId: shown.planId, revision: shown.revision };
          go('plan', CHANGE);
        }}
      >
        Change it…
      </Button>
      <Button test="plan-forget" onPress={forget}>
        Forget it
      </Button>
    </>
  );
}

/** A way to the other phones: the phone's own sharing where it has one, else the link to copy. */
function Share({ shown }: { shown: Shown }) {
  const open = useSignal(false);
  const link = `${location.origin}${location.pathname}#plan/${encodeURIComponent(shown.planId)}`;
  const share = async () => {
    if (typeof navigator.share === 'function') {
      try {
        await navigator.share({ title: titleOf(shown.plan), text: shown.plan.words, url: link });
        return;
      } catch {
        // Called off, or not allowed here: the link is shown instead.
      }
    }
    open.value = true;
  };
  return (
    <>
      <Button test="plan-share" onPress={() => void share()}>
        Share
      </Button>
      {open.value ? (
        <div class="field plan-link">
          <label for="plan-link">Open this on the other phone, in the same network</label>
          <input
            id="plan-link"
            data-test="plan-link"
            readOnly
            value={link}
            onFocus={(event) => event.currentTarget.select()}
          />
          <Button test="plan-copy" onPress={() => void copy(link)}>
            Copy the link
          </Button>
        </div>
      ) : null}
    </>
  );
}

/** On plain http there is no clipboard for pages, but the field can be copied from. */
async function copy(text: string): Promise<void> {
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    const field = document.querySelector<HTMLInputElement>('#plan-link');
    field?.focus();
    field?.select();
    if (!document.execCommand('copy')) {
      say('Hold the link to copy it.');
      return;
    }
  }
  say('The link is copied.');
}
