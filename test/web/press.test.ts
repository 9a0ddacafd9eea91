import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { FIRE_AFTER_MS, SCROLL_PX, StopPress } from '../../web/press.ts';

describe('a touch of the stop bar', () => {
  const fire = vi.fn();
  let press: StopPress;

  beforeEach(() => {
    vi.useFakeTimers();
    fire.mockReset();
    press = new StopPress(fire);
  });
  afterEach(() => vi.useRealTimers());

  it('fires on lifting, once', () => {
    press.down(1, 100, 100);
    vi.advanceTimersByTime(40);
    expect(fire).not.toHaveBeenCalled();
    press.up(1, 102, 101);
    expect(fire).toHaveBeenCalledTimes(1);
    vi.advanceTimersByTime(1000);
    expect(fire).toHaveBeenCalledTimes(1);
  });

  it('fires 120 ms after touching without lifting, and not again on lifting', () => {
    press.down(1, 100, 100);
    vi.advanceTimersByTime(FIRE_AFTER_MS - 1);
    expect(fire).not.toHaveBeenCalled();
    vi.advanceTimersByTime(1);
    expect(fire).toHaveBeenCalledTimes(1);
    press.up(1, 100, 100);
    expect(fire).toHaveBeenCalledTimes(1);
  });

  it('is scrolling once it has moved 16 px, in any direction, but not at 15', () => {
    press.down(1, 100, 100);
    press.move(1, 100, 100 - SCROLL_PX);
    vi.advanceTimersByTime(1000);
    press.up(1, 100, 84);
    expect(fire).not.toHaveBeenCalled();

    press.down(1, 100, 100);
    press.move(1, 100, 100 - (SCROLL_PX - 1));
    vi.advanceTimersByTime(FIRE_AFTER_MS);
    expect(fire).toHaveBeenCalledTimes(1);
  });

  it('does not fire on lifting where the lifting itself tells of 16 px', () => {
    press.down(1, 0, 0);
    press.up(1, 12, 12);
    expect(fire).not.toHaveBeenCalled();
  });

  it('has fired already when the moving comes after 120 ms', () => {
    press.down(1, 0, 0);
    vi.advanceTimersByTime(FIRE_AFTER_MS);
    press.move(1, 0, 300);
    expect(fire).toHaveBeenCalledTimes(1);
  });

  it('counts each finger for itself: one scrolling does not undo another’s stop', () => {
    press.down(1, 0, 0);
    press.down(2, 200, 0);
    press.move(1, 0, 40);
    press.up(2, 200, 0);
    expect(fire).toHaveBeenCalledTimes(1);
  });
});
