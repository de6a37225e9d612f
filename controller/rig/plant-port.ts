import {
  applyPlantEvent,
  type PlantEvent,
  type PlantSpec,
  type PlantState,
  truth,
} from '../../shared/bath/plant.ts';
import { cutById } from '../../shared/food/cuts.ts';
import { thermalProperties } from '../../shared/food/properties.ts';
import type { BagSpec } from '../../shared/wire/command.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { PlantEventMessage } from '../../shared/wire/plant.ts';
import type { PlantPort } from './rig.ts';

/** Food nobody weighed: about a shoulder's share for one bag. */
const USUAL_MASS_KG = 1.5;

/** The developer panel's hand on the world, and the cook's: what a cook says is done is done. */
export interface CookPort extends PlantPort {
  putIn(bag: BagSpec): void;
  takeOut(bagId: string): void;
}

/** Both hands on a simulated world. */
export function plantPort(spec: PlantSpec, plant: PlantState): CookPort {
  const apply = (event: PlantEvent): void => {
    try {
      applyPlantEvent(spec, plant, event);
    } catch (error) {
      throw new BathkeeperError('bad-request', (error as Error).message);
    }
  };
  return {
    apply(message) {
      apply(worldEvent(message));
    },
    truth() {
      const now = truth(spec, plant);
      const { waterC, topC, bottomC, elementC, litres, elementUncovered, ambientC } = now;
      const { lidOn, pumpOn, mainsOn } = plant;
      const bags = now.bags.map(({ bagId, coreC, afloat }) => ({ bagId, coreC, afloat }));
      const water = { waterC, topC, bottomC, elementC, litres, elementUncovered, ambientC };
      return { ...water, lidOn, pumpOn, mainsOn, bags };
    },
    putIn(bag) {
      // Already there where the world was kept across a restart, or where it was put in without telling.
      if (!plant.bags.some((known) => known.bagId === bag.bagId)) apply(bagInWorld(bag, 0));
    },
    takeOut(bagId) {
      // A bag that was put in without telling went on under another id: the first such one is taken for it.
      const known = new Set(plant.bags.map((bag) => bag.bagId));
      const untold = plant.bags.find((bag) => bag.bagId.startsWith('untold'))?.bagId;
      const found = known.has(bagId) ? bagId : untold;
      if (found !== undefined) apply({ type: 'bag-out', bagId: found });
    },
  };
}

function worldEvent(message: PlantEventMessage): PlantEvent {
  switch (message.kind) {
    case 'element':
      return { type: 'element', condition: message.works ? 'ok' : 'dead' };
    case 'weld':
      return { type: 'switch', which: message.switch, fault: message.welded ? 'welded' : 'none' };
    case 'probe':
      return { type: 'probe', probe: message.probe, fault: message.fault };
    case 'bag-in':
      return bagInWorld(message.bag, message.airMl);
    case 'bag-air':
      return { type: 'bag-air', bagId: message.bagId, addMl: message.airMl };
    case 'lid':
    case 'pump':
    case 'mains':
      return { type: message.kind, on: message.on };
    case 'bag-out':
      return { type: 'bag-out', bagId: message.bagId };
    case 'leak':
      return { type: 'leak', mlPerMin: message.mlPerMin };
    case 'top-up':
      return { type: 'top-up', litres: message.litres, celsius: message.celsius };
    case 'ambient':
      return { type: 'ambient', celsius: message.celsius };
  }
}

function bagInWorld(bag: BagSpec, airMl: number): PlantEvent {
  const cut = cutById(bag.cutId);
  if (!cut) throw new BathkeeperError('cut-unknown', bag.cutId);
  const food = thermalProperties(cut.composition, 40);
  return {
    type: 'bag-in',
    bagId: bag.bagId,
    thicknessMm: bag.thicknessMm,
    massKg: bag.massKg ?? USUAL_MASS_KG,
    beta: bag.beta,
    diffusivity: food.diffusivity,
    conductivity: food.conductivity,
    densityKgM3: food.densityKgM3,
    startC: bag.startC,
    airMl,
    // Pork and lamb carry fat and some air: enough ballast that a bag lies under unless it gains air.
    ballastKg: (bag.massKg ?? USUAL_MASS_KG) * 0.15,
  };
}
