import { writeFileSync } from 'node:fs';
import { layoutSvg } from './layout.ts';
import { firmwarePins } from './pins.ts';
import { schematicSvg } from './schematic.ts';

/** Draws both sheets anew beside this folder: `npx tsx hardware/wiring/draw/main.ts`. */
const place = (name: string) => new URL(`../${name}`, import.meta.url);
writeFileSync(place('schematic.svg'), schematicSvg(firmwarePins()));
writeFileSync(place('layout.svg'), layoutSvg());
