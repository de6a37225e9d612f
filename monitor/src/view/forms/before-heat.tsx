import type { Signal } from '@preact/signals';
import { CautionList } from '../cautions.tsx';
import { Tick } from '../parts.tsx';

interface Asked {
  /** Whether the cautions were not read on this phone yet. */
  readonly first: boolean;
  readonly read: Signal<boolean>;
  readonly looked: Signal<boolean>;
}

/** Cautions before the first cook on this phone, and a look at the box before every one. */
export function BeforeHeat({ first, read, looked }: Asked) {
  return (
    <>
      {first ? (
        <>
          <CautionList />
          <Tick
            id="cautions-tick"
            checked={read.value}
            onChange={(value) => {
              read.value = value;
            }}
          >
            I have read the cautions.
          </Tick>
        </>
      ) : null}
      <Tick
        id="box-tick"
        checked={looked.value}
        onChange={(value) => {
          looked.value = value;
        }}
      >
        I have looked: the element is under water, the pump runs, the probe is in the water.
      </Tick>
    </>
  );
}
