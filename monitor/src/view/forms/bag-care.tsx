import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { type Lies, liesSchema } from '../../../../shared/wire/command.ts';
import type { BagView } from '../../../../shared/wire/status.ts';
import type { Order } from '../../command/send.ts';
import { bagsIn } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { type ViewName, view } from '../../state/view.ts';
import { ENDPOINT_WORDS, FORK_WORDS } from '../../words/forecast.ts';
import { LIES_WORDS } from '../../words/safety.ts';
import { Choice, Page, Submit, TextField, TroubleOf } from '../parts.tsx';

type CareView = Extract<ViewName, 'fork-test' | 'bag-lies' | 'cold-spot'>;

/** The page of one bag in the bath, or word that it is not there. */
function CarePage({
  from,
  title,
  children,
}: {
  from: CareView;
  title: string;
  children: (bag: BagView) => ComponentChildren;
}) {
  const bag = bagsIn.value.find((one) => one.bagId === view.value.bagId);
  return (
    <Page test={`${from}-page`} title={bag ? `${title}: ${bag.label}` : title}>
      {bag ? children(bag) : <p>That bag is not in the bath.</p>}
      <TroubleOf view={from} />
    </Page>
  );
}

interface AnswerProps {
  readonly test: string;
  readonly text: string;
  readonly hint: string;
  readonly onPress: () => void;
  readonly now?: boolean;
}

/** An answer that is also the deed: large, with what it means under it. */
function Answer({ test, text, hint, onPress, now = false }: AnswerProps) {
  return (
    <button
      type="button"
      class={now ? 'answer now' : 'answer'}
      data-test={test}
      disabled={busy.value}
      onClick={onPress}
    >
      <b>
        {text}
        {now ? ', as said before' : ''}
      </b>
      <small>{hint}</small>
    </button>
  );
}

function give(from: CareView, bag: BagView, order: Order, done: string): void {
  void run({ order, from, bagId: bag.bagId, done });
}

const FORK_ANSWERS = ['not-yet', 'nearly', 'ready'] as const;

/** What a fork in the piece says: evidence for the forecast. */
export function ForkTest() {
  return (
    <CarePage from="fork-test" title="Fork test">
      {(bag) => (
        <>
          <p>
            Is it {ENDPOINT_WORDS[bag.endpoint].adjective}? Try it where it is thickest. Open the bag away
            from your face; close it and see that it is wholly under the water again.
          </p>
          <div class="answers">
            {FORK_ANSWERS.map((answer) => (
              <Answer
                key={answer}
                test={`fork-${answer}`}
                {...FORK_WORDS[answer]}
                onPress={() =>
                  give(
                    'fork-test',
                    bag,
                    { kind: 'fork-test', bagId: bag.bagId, answer },
                    `Noted of ${bag.label}: ${FORK_WORDS[answer].text.toLowerCase()}.`,
                  )
                }
              />
            ))}
          </div>
          <p class="help">
            The record keeps the answer. The forecast learns from it, for this piece and for later ones like
            it.
          </p>
        </>
      )}
    </CarePage>
  );
}

/** How the bag lies, each answer with its consequence. */
export function BagLies() {
  return (
    <CarePage from="bag-lies" title="How it lies">
      {(bag) => (
        <>
          <p>Only what is wholly under the water is heated as modelled.</p>
          <div class="answers">
            {liesSchema.options.map((lies: Lies) => (
              <Answer
                key={lies}
                test={`lies-${lies}`}
                text={LIES_WORDS[lies].text}
                hint={LIES_WORDS[lies].consequence}
                now={bag.lies === lies}
                onPress={() =>
                  give(
                    'bag-lies',
                    bag,
                    { kind: 'bag-lies', bagId: bag.bagId, lies },
                    `Noted of ${bag.label}: ${LIES_WORDS[lies].text.toLowerCase()}.`,
                  )
                }
              />
            ))}
          </div>
        </>
      )}
    </CarePage>
  );
}

const WAYS = {
  places: 'the lowest of three places',
  through: 'pushed through the thickest part, the lowest kept',
} as const;
type Way = keyof typeof WAYS | 'other';

/** The cold spot was searched for with the probe and found. */
export function ColdSpot() {
  const way = useSignal<Way>('places');
  const own = useSignal('');
  const how = way.value === 'other' ? own.value.trim() : WAYS[way.value];
  return (
    <CarePage from="cold-spot" title="Cold spot found">
      {(bag) => (
        <>
          <p class="consequence" data-test="consequence">
            From now on the probe in {bag.label} may raise the credit of heat over the model’s coldest case.
            Say it only if you searched: a probe beside the cold spot makes raw food look cooked.
          </p>
          <Choice
            name="way"
            legend="How was it found?"
            value={way.value}
            options={[
              { value: 'places', text: 'The lowest of three places' },
              { value: 'through', text: 'Pushed through the thickest part, the lowest kept' },
              { value: 'other', text: 'In another way' },
            ]}
            onChange={(value) => {
              way.value = value;
            }}
          />
          {way.value === 'other' ? (
            <TextField
              id="how"
              label="How? The record keeps it"
              value={own.value}
              maxLength={120}
              onChange={(value) => {
                own.value = value;
              }}
            />
          ) : null}
          <Submit
            test="cold-spot-submit"
            ready={how.length >= 3}
            why="How it was found is missing."
            onPress={() =>
              give(
                'cold-spot',
                bag,
                { kind: 'cold-spot', bagId: bag.bagId, how },
                `Noted: the cold spot of ${bag.label} was found.`,
              )
            }
          >
            I searched, and this is the coldest place
          </Submit>
        </>
      )}
    </CarePage>
  );
}
