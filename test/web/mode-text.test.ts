import { describe, expect, it } from 'vitest';
import { modeText, unheardText } from '../../web/mode-text.ts';
import { english } from '../../web/words.ts';
import { busLost, fault, open, said } from '../browser/hand-pictures.ts';

const closed = () => {
  const picture = { ...open(), mode: 'closed' as const, now: [] };
  picture.props.ferry = { ...picture.props.ferry!, state: 'ready', move: null, run: null };
  return picture;
};

describe('what is said of the yard as a whole', () => {
  it('is that all is at rest only where every board says so', () => {
    const picture = closed();
    expect(modeText(english, picture)).toBe('The yard is closed. Everything is at rest.');
    expect(unheardText(english, picture)).toBeNull();
    picture.props.gull!.live = false;
    expect(modeText(english, picture)).toBe('The yard is closed. Nothing starts by itself.');
    expect(unheardText(english, picture)).toBe('Gull is not heard; nobody here knows whether it moves.');
  });

  it('is not that all is at rest while one moves on the bench', () => {
    const picture = closed();
    picture.props.ferry!.move = open().props.ferry!.move;
    expect(modeText(english, picture)).not.toMatch(/at rest/);
  });

  it('promises nothing where no board is heard, nor without a bus', () => {
    const never = closed();
    for (const prop of Object.values(never.props)) prop.live = false;
    for (const picture of [never, busLost(), { ...closed(), bus: { ...closed().bus, connected: false } }]) {
      expect(unheardText(english, picture)).toBe('No board is heard; nobody here knows what moves.');
      expect(modeText(english, picture)).not.toMatch(/at rest/);
    }
  });

  it('names those that are not heard, and no mat among them', () => {
    expect(unheardText(english, fault())).toBe('Fog bank is not heard; nobody here knows whether it moves.');
    const picture = closed();
    picture.props['path-mat']!.live = false;
    expect(unheardText(english, picture)).toBeNull();
  });

  it('claims in no line written at the start that all is at rest, nor that everybody was told', () => {
    const modes = ['closed', 'opening', 'open', 'held', 'closing', 'stopped'] as const;
    for (const mode of modes)
      expect(said({ code: 'desk-started', epoch: 12, mode })).not.toMatch(/all at rest|nothing moves/i);
    expect(said({ code: 'opening-notice', atMs: 0 })).not.toMatch(/has been told|nothing moves/i);
  });
});
