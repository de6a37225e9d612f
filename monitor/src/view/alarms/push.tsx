import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { ReachView } from '../../../../shared/wire/reach-view.ts';
import type { Outcome } from '../../command/send.ts';
import { troubleFor } from '../../command/send.ts';
import { busy, run } from '../../state/errand.ts';
import { Button } from '../parts.tsx';
import { currentEndpoint, pushOffer, subscribe, unsubscribe, whyNoPush } from './subscribe.ts';

/** Notifications on this very phone, even with the page closed: offered where the browser allows them, else why not. */
export function PushHere({ people }: { people: ReachView['people'] }) {
  const why = useSignal<string | null>(whyNoPush());
  const key = useSignal<string | null>(null);
  const endpoint = useSignal<string | null>(null);
  useEffect(() => {
    if (why.value !== null) return;
    void pushOffer().then(async (offer) => {
      why.value = offer.why;
      key.value = offer.publicKey;
      endpoint.value = await currentEndpoint();
    });
  }, []);
  const withPush = people.filter(({ channels }) => channels.some(({ kind }) => kind === 'push'));
  return (
    <section data-test="push" data-subscribed={endpoint.value !== null}>
      <h2>Notifications on this phone</h2>
      {why.value !== null ? <p data-test="push-why">{why.value}</p> : null}
      {key.value === null ? null : endpoint.value !== null ? (
        <Subscribed
          endpoint={endpoint.value}
          onGone={() => {
            endpoint.value = null;
          }}
        />
      ) : (
        <Offer
          people={withPush}
          publicKey={key.value}
          onMade={(made) => {
            endpoint.value = made;
          }}
        />
      )}
    </section>
  );
}

function Subscribed({ endpoint, onGone }: { endpoint: string; onGone: () => void }) {
  return (
    <>
      <p>This phone gets notifications. Send a test above, and answer it.</p>
      <Button
        test="push-off"
        disabled={busy.value}
        onPress={() =>
          run({
            order: null,
            send: () => unsubscribe(endpoint),
            from: 'reach',
            done: 'This phone gets no more notifications.',
            stay: true,
            after: onGone,
          })
        }
      >
        No more notifications here
      </Button>
    </>
  );
}

interface OfferProps {
  readonly people: ReachView['people'];
  readonly publicKey: string;
  readonly onMade: (endpoint: string) => void;
}

function Offer({ people, publicKey, onMade }: OfferProps) {
  if (people.length === 0) {
    return (
      <p>Nobody has a way of kind “push” in the configuration: there is nobody this phone could stand for.</p>
    );
  }
  let made: string | null = null;
  const send = async (personId: string): Promise<Outcome> => {
    const end = await subscribe(personId, publicKey);
    if ('endpoint' in end) {
      made = end.endpoint;
      return { ok: true };
    }
    return {
      ok: false,
      trouble: end.trouble ?? { ...troubleFor('bad-request', ''), ...WORDS, detail: end.why ?? '' },
    };
  };
  return (
    <div class="row">
      {people.map(({ personId, person }) => (
        <Button
          key={personId}
          test={`push-on-${personId}`}
          strong
          disabled={busy.value}
          onPress={() =>
            run({
              order: null,
              send: () => send(personId),
              from: 'reach',
              done: 'This phone gets notifications now.',
              stay: true,
              after: () => made !== null && onMade(made),
            })
          }
        >
          Notify this phone for {person}
        </Button>
      ))}
    </div>
  );
}

const WORDS = {
  code: 'no-notifications',
  cause: 'This phone could not be set up for notifications.',
  action: 'Use another way (mail, the page left open), or another browser.',
};
