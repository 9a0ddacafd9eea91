import type { Need, Scene, Yard } from '../yard/types.ts';
import type { Book } from './book.ts';
import type { Path } from './errors.ts';
import { isId, listOf, nearestOf } from './names.ts';

type Section = 'circuits' | 'tanks' | 'zones' | 'props' | 'scenes';

const NOUNS: Readonly<Record<Section, string>> = {
  circuits: 'circuit',
  tanks: 'tank',
  zones: 'zone',
  props: 'prop',
  scenes: 'scene',
};

/** Looks whether everything that the file names exists: broken entries count, since they are told of by themselves. */
export function checkNames(yard: Yard, book: Book): void {
  const names = namesOf(book);
  yard.nights.forEach((night, i) => {
    if (night.noticeScene !== null) names.section(['nights', i, 'notice-scene'], 'scenes', night.noticeScene);
  });
  for (const tank of yard.tanks.values()) {
    names.section(['tanks', tank.id, 'compressor', 'circuit'], 'circuits', tank.compressor.circuit);
  }
  for (const prop of yard.props.values()) {
    const path: Path = ['props', prop.id];
    if (prop.zone !== null) names.section([...path, 'zone'], 'zones', prop.zone);
    if (prop.home !== null) names.own([...path, 'home'], prop.id, 'sensors', prop.home);
    if (prop.homeMove !== null && book.wrote([...path, 'home-move'])) {
      names.own([...path, 'home-move'], prop.id, 'moves', prop.homeMove);
    }
    for (const move of prop.moves.values()) {
      const at = [...path, 'moves', move.id];
      // With `lasts` beside it, `until` is told of as one too many.
      if (move.until !== null && !book.wrote([...at, 'lasts']))
        names.own([...at, 'until'], prop.id, 'sensors', move.until);
      // As the file has them: a name is looked up whatever is wrong with the draw behind it.
      for (const circuit of book.names([...at, 'load']).filter(isId))
        names.section([...at, 'load', circuit], 'circuits', circuit, 'key');
      for (const tank of book.names([...at, 'air']).filter(isId))
        names.section([...at, 'air', tank], 'tanks', tank, 'key');
      move.needs.forEach((need, i) => {
        checkNeed(yard, book, names, [...at, 'needs', i], need);
      });
    }
  }
  for (const scene of yard.scenes.values()) checkScene(names, scene);
}

function checkNeed(yard: Yard, book: Book, names: Names, path: Path, need: Need): void {
  if (!names.section(path, 'props', need.prop)) return;
  if (need.kind === 'made' || need.kind === 'not-made') {
    names.of(path, need.prop, 'sensors', need.sensor);
  } else if (
    need.kind === 'at-home' &&
    yard.props.has(need.prop) &&
    !book.wrote(['props', need.prop, 'home'])
  ) {
    const say = `\`${need.prop} at home\` is needed, but \`${need.prop}\` has no \`home\`. Give it one, as \`home: near\`, or write \`${need.prop} at rest\`.`;
    book.fail(path, { say, wanted: 'a prop with a home', example: `${need.prop} at rest` });
  }
}

function checkScene(names: Names, scene: Scene): void {
  const path: Path = ['scenes', scene.id];
  if (scene.zone !== null) names.section([...path, 'zone'], 'zones', scene.zone);
  if (scene.on && names.section([...path, 'on'], 'props', scene.on.prop)) {
    names.of([...path, 'on'], scene.on.prop, 'sensors', scene.on.sensor);
  }
  const move = (at: Path, { prop, move }: { prop: string; move: string }): void => {
    if (names.section(at, 'props', prop)) names.of(at, prop, 'moves', move);
  };
  scene.steps.forEach((step, i) => {
    if (step.kind === 'move') move([...path, 'steps', i], step);
    if (step.kind === 'together') {
      step.moves.forEach((m, j) => {
        move([...path, 'steps', i, 'together', j], m);
      });
    }
  });
  scene.ifItFails.forEach((m, i) => {
    move([...path, 'if-it-fails', i], m);
  });
}

interface Names {
  /** Whether a section has the name; tells it if not. */
  section(path: Path, section: Section, name: string, at?: 'value' | 'key'): boolean;
  /** The same for the sensors or moves of another prop, written `prop.name`. */
  of(path: Path, prop: string, what: 'sensors' | 'moves', name: string): void;
  /** The same for the prop's own, written without the prop. */
  own(path: Path, prop: string, what: 'sensors' | 'moves', name: string): void;
}

function namesOf(book: Book): Names {
  const cache = new Map<string, readonly string[]>();
  const known = (...path: string[]): readonly string[] => {
    const key = path.join('.');
    const names = cache.get(key) ?? book.names(path);
    cache.set(key, names);
    return names;
  };
  const within = (
    path: Path,
    prop: string,
    what: 'sensors' | 'moves',
    name: string,
    prefix: string,
  ): void => {
    const its = known('props', prop, what);
    if (!book.clean(path)) return;
    if (its.includes(name) || !book.knows(['props', prop, what])) return;
    const noun = what === 'sensors' ? 'sensor' : 'move';
    const near = nearestOf(name, its);
    const has = its.length === 0 ? `It has no ${what}.` : `It has ${listOf(its)}.`;
    const hint = near === undefined ? has : `Did you mean \`${prefix}${near}\`?`;
    book.fail(path, {
      say: `\`${prop}\` has no ${noun} \`${name}\`. ${hint}`,
      wanted:
        its.length === 0 ? `a ${noun} of \`${prop}\`` : `one of ${its.map((n) => prefix + n).join(', ')}`,
      example: prefix + (near ?? its[0] ?? noun),
      nearest: near === undefined ? undefined : prefix + near,
    });
  };
  return {
    section(path, section, name, at = 'value') {
      const all = known(section);
      // A name that stands in for one that could not be read is no name of the file.
      if (at === 'value' && !book.clean(path)) return true;
      if (all.includes(name) || !book.knows([section])) return true;
      const noun = NOUNS[section];
      const near = nearestOf(name, all);
      const has = all.length === 0 ? `The file has no \`${section}\`.` : `The file has ${listOf(all)}.`;
      book.fail(
        path,
        {
          say: `there is no ${noun} \`${name}\`. ${near === undefined ? has : `Did you mean \`${near}\`?`}`,
          wanted: `a ${noun} of this file`,
          example: near ?? all[0] ?? noun,
          nearest: near,
        },
        at,
      );
      return false;
    },
    of: (path, prop, what, name) => within(path, prop, what, name, `${prop}.`),
    own: (path, prop, what, name) => within(path, prop, what, name, ''),
  };
}
