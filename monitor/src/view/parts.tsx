import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Trouble } from '../command/send.ts';
import { busy, trouble } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { go, type ViewName } from '../state/view.ts';
import { numberFault, parseNumber } from '../words/number.ts';
import { localText } from '../words/temperature.ts';

interface ButtonProps {
  readonly test: string;
  readonly onPress: () => void;
  readonly children: ComponentChildren;
  readonly strong?: boolean;
  readonly disabled?: boolean;
  readonly pressed?: boolean;
  readonly label?: string;
}

/** A touch target of at least 48 px. */
export function Button({ test, onPress, children, strong, disabled, pressed, label }: ButtonProps) {
  return (
    <button
      type="button"
      class={strong ? 'button strong' : 'button'}
      data-test={test}
      onClick={onPress}
      disabled={disabled === true}
      {...(pressed === undefined ? {} : { 'aria-pressed': pressed })}
      {...(label === undefined ? {} : { 'aria-label': label })}
    >
      {children}
    </button>
  );
}

/** A view of its own, with its heading focused so that a screen reader and a keyboard start there. */
export function Page({
  test,
  title,
  children,
  wide = false,
}: {
  test: string;
  title: string;
  wide?: boolean;
  children: ComponentChildren;
}) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  return (
    <section class={wide ? 'page wide' : 'page'} data-test={test}>
      <div class="page-head">
        <Button test="back" onPress={() => go('watch')}>
          Back
        </Button>
        <h1 tabIndex={-1} ref={heading}>
          {title}
        </h1>
      </div>
      {children}
    </section>
  );
}

/** What was refused, why, and what to do; nothing where nothing was. */
export function TroubleOf({ view }: { view: ViewName }) {
  const now = trouble.value;
  return now && now.view === view ? <TroubleBox trouble={now.trouble} /> : null;
}

/** A ref for something that must not appear out of sight. */
export function useIntoView() {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView({ block: 'nearest' }), []);
  return box;
}

export function TroubleBox({ trouble: what }: { trouble: Trouble }) {
  const u = unit.value;
  const box = useIntoView();
  return (
    <div class="trouble" role="alert" data-test="trouble" data-code={what.code} ref={box}>
      <strong>Not done.</strong> {localText(what.cause, u)}{' '}
      {what.detail ? <span data-test="trouble-detail">{localText(what.detail, u)} </span> : null}
      <span>{localText(what.action, u)}</span>
    </div>
  );
}

interface NumberProps {
  readonly id: string;
  readonly label: string;
  readonly unitText: string;
  readonly value: string;
  readonly step: number;
  readonly min: number;
  readonly max: number;
  readonly decimals?: number;
  readonly help?: string;
  /** True: may be left empty. */
  readonly optional?: boolean;
  /** Where − and + begin while the field is empty. */
  readonly usual?: number;
  readonly onChange: (text: string) => void;
}

/** A number with big − and + beside it, for wet hands; it can be typed as well. */
export function NumberField(props: NumberProps) {
  const { id, label, unitText, value, step, min, max, decimals = 0, help, optional, usual, onChange } = props;
  const empty = value.trim() === '';
  const fault = empty ? null : numberFault(value, min, max, unitText);
  const move = (by: number) => {
    const typed = parseNumber(value);
    const next = Number.isFinite(typed) ? typed + by : (usual ?? min);
    onChange(Math.min(max, Math.max(min, next)).toFixed(decimals));
  };
  return (
    <div class="field">
      <label for={id}>
        {label} <span class="unit">({unitText})</span>
      </label>
      <div class="stepper">
        <Button test={`${id}-less`} label={`${label}: less`} onPress={() => move(-step)}>
          −
        </Button>
        <input
          id={id}
          data-test={id}
          inputMode="decimal"
          autocomplete="off"
          value={value}
          aria-invalid={fault !== null}
          aria-required={!optional}
          aria-describedby={`${id}-help`}
          onInput={(event) => onChange(event.currentTarget.value)}
        />
        <Button test={`${id}-more`} label={`${label}: more`} onPress={() => move(step)}>
          +
        </Button>
      </div>
      <p class={fault ? 'help fault' : 'help'} id={`${id}-help`}>
        {fault ?? help ?? `${min} to ${max} ${unitText}`}
      </p>
    </div>
  );
}

interface TextProps {
  readonly id: string;
  readonly label: string;
  readonly value: string;
  readonly maxLength: number;
  readonly inputMode?: 'text' | 'numeric';
  readonly onChange: (text: string) => void;
}

export function TextField({ id, label, value, maxLength, inputMode = 'text', onChange }: TextProps) {
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        data-test={id}
        value={value}
        maxLength={maxLength}
        inputMode={inputMode}
        autocomplete="off"
        onInput={(event) => onChange(event.currentTarget.value)}
      />
    </div>
  );
}

interface TickProps {
  readonly id: string;
  readonly checked: boolean;
  readonly onChange: (checked: boolean) => void;
  readonly children: ComponentChildren;
}

export function Tick({ id, checked, onChange, children }: TickProps) {
  return (
    <label class="tick" for={id}>
      <input
        id={id}
        data-test={id}
        type="checkbox"
        checked={checked}
        onChange={(event) => onChange(event.currentTarget.checked)}
      />
      <span>{children}</span>
    </label>
  );
}

interface ChoiceProps<T extends string> {
  readonly name: string;
  readonly legend: string;
  readonly value: T;
  readonly options: readonly { value: T; text: string; hint?: string }[];
  readonly onChange: (value: T) => void;
}

/** One of a few, each a full-size target. */
export function Choice<T extends string>({ name, legend, value, options, onChange }: ChoiceProps<T>) {
  return (
    <fieldset class="choice">
      <legend>{legend}</legend>
      <div class="choices">
        {options.map((option) => (
          <label key={option.value} class={option.value === value ? 'option on' : 'option'}>
            <input
              type="radio"
              name={name}
              data-test={`${name}-${option.value}`}
              checked={option.value === value}
              onChange={() => onChange(option.value)}
            />
            <span>
              {option.text}
              {option.hint ? <small>{option.hint}</small> : null}
            </span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

interface SubmitProps {
  readonly test: string;
  readonly ready: boolean;
  readonly why?: string | undefined;
  readonly onPress: () => void;
  readonly children: ComponentChildren;
}

/** The button that does it. Touched too early it says what is still missing, instead of being dead. */
export function Submit({ test, ready, why, onPress, children }: SubmitProps) {
  const asked = useSignal(false);
  return (
    <div class="submit">
      {asked.value && !ready && why ? (
        <p class="help fault" role="alert" data-test="missing">
          {why}
        </p>
      ) : null}
      <Button
        test={test}
        strong
        disabled={busy.value}
        onPress={() => {
          asked.value = true;
          if (ready) onPress();
        }}
      >
        {busy.value ? 'Sending…' : children}
      </Button>
    </div>
  );
}
