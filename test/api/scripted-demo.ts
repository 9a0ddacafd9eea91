import type { DemoDoor } from '../../server/api/call.ts';

/** Stand-ins that only remember what they were told. The ferry can jam; the mat can be stepped on. */
export class ScriptedDemo implements DemoDoor {
  readonly done: unknown[][] = [];
  readonly known = new Map([['ferry', ['jam', 'slow']]]);

  faultsOf(prop: string): readonly string[] | null {
    return this.known.get(prop) ?? null;
  }

  setFault(...what: [prop: string, fault: string, on: boolean]): void {
    this.done.push(what);
  }

  faults() {
    return [{ prop: 'ferry', fault: 'jam' }];
  }

  mendAll(): void {
    this.done.push(['mend all']);
  }

  press(prop: string, sensor: string): boolean {
    const there = prop === 'path-mat' && sensor === 'step';
    if (there) this.done.push(['press', prop, sensor]);
    return there;
  }
}
